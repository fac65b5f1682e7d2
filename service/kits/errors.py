"""Refusals that a request earns only once its pieces are laid on the work area."""

from __future__ import annotations

from typing import Any

from geometry.errors import GeometryError
from geometry.layout.fit import DoesNotFit
from geometry.model.cutter import WorkArea
from service.http.problems import Fault, ProblemError
from service.kits.largest import largest_sentence, largest_share_sentence, largest_sizes
from service.pieces.model import Kit
from service.requests.units_in_text import in_units


def too_many(run: int, most: int) -> ProblemError:
    """Return the problem of a load with more outlines than are supported."""
    detail = (
        f"One load of this run would hold more than {most} outlines. "
        "Use a smaller work area or sheet, or larger pieces."
    )
    return ProblemError("too-many-pieces", 422, detail, [Fault(f"#/runs/{run}", detail)])


def cannot_plan(run: int, error: GeometryError) -> ProblemError:
    """Return the problem of a run whose tool cannot do what is asked of it."""
    where = "".join(f"/{key}" for key in error.where)
    fault = Fault(f"#/runs/{run}{where}", error.message)
    return ProblemError("invalid-request", 422, error.message, [fault])


def does_not_fit(
    kit: Kit, run: int, error: DoesNotFit, room: WorkArea, kept: str = ""
) -> ProblemError:
    """Return the problem of a piece that is larger than the work area, with what would fit.

    ``room`` is where pieces may lie; ``kept`` says what of the work area the tool itself needs.
    """
    piece = kit.pieces[error.piece]
    cut = kit.runs[run].cut
    index = list(kit.pieces).index(error.piece)
    needed_width, needed_height = error.needed
    width, height = error.available
    sizes = largest_sizes(piece, kit.runs[run], room, kit.units)
    largest = largest_sentence(sizes, kit.units)
    if not sizes:
        largest = largest_share_sentence(piece, kit.runs[run], room, error, kit.units)
    extra: dict[str, Any] = {
        "piece": error.piece,
        "run": kit.runs[run].number,
        "needed": {"width_mm": needed_width, "height_mm": needed_height},
        "available": {"width_mm": width, "height_mm": height},
        "short_by_mm": error.short_by,
        "largest": {
            "scale": error.largest_scale,
            **{f"{name}_mm": mm for name, mm in sizes.items()},
        },
    }
    whole = (
        f"needs {needed_width:.2f} by {needed_height:.2f} mm, and the work area is {width:.2f} by "
        f"{height:.2f} mm: short by {error.short_by:.2f} mm whichever way it is turned. {kept}"
    )
    detail = f'The {cut} of piece "{piece.id}" ({piece.title}) {in_units(whole, kit.units)}'
    detail = f"{detail.rstrip()} {largest}".rstrip()
    faults = [Fault(f"#/runs/{run}", detail), Fault(f"#/pieces/{index}/shape", detail)]
    return ProblemError("does-not-fit", 422, detail, faults, **extra)
