"""Refusals that a request earns only once its pieces are laid on the work area."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from geometry import units as lengths
from geometry.errors import GeometryError
from service.errors import (
    Change,
    Cure,
    DoesNotFitError,
    Fault,
    InvalidRequestError,
    RequestError,
    TooManyPiecesError,
)
from service.pieces.model import Kit
from service.runs.largest import (
    largest_percent,
    largest_sentence,
    largest_share_sentence,
    largest_sizes,
)
from service.runs.misfits import Misfit
from service.schemas.units_in_text import in_units


def too_many(run: int, most: int) -> RequestError:
    """Return the problem of a load with more outlines than are supported."""
    detail = (
        f"One load of this run would hold more than {most} outlines. "
        "Use a smaller work area or sheet, or larger pieces."
    )
    return TooManyPiecesError(detail, [Fault(f"#/runs/{run}", detail)])


def cannot_plan(run: int, error: GeometryError, units: str) -> RequestError:
    """Return the problem of a run whose tool cannot do what is asked of it."""
    where = "".join(f"/{key}" for key in error.where)
    detail = in_units(error.message, units, at_the_bench=True)
    return InvalidRequestError(detail, [Fault(f"#/runs/{run}{where}", detail)])


def do_not_fit(kit: Kit, misfits: Sequence[Misfit]) -> RequestError:
    """Return the problem of pieces that are larger than the work area, with what would fit.

    The members of the problem are about the first of them.
    """
    first, run = misfits[0], kit.runs[misfits[0].run]
    all_sizes = [_largest_sizes(kit, each) for each in misfits]
    percents = [
        0 if sizes else _largest_percent(kit, each)
        for each, sizes in zip(misfits, all_sizes, strict=True)
    ]
    # A piece that is too large for several runs is cured by the size that fits all of them.
    smallest = {
        each.error.piece: min(
            (
                sizes
                for other, sizes in zip(misfits, all_sizes, strict=True)
                if other.error.piece == each.error.piece
            ),
            key=lambda sizes: list(sizes.values()),
        )
        for each in misfits
    }
    width, height = first.error.needed
    across, up = first.error.available
    extra: dict[str, Any] = {
        "piece": first.error.piece,
        "run": run.number,
        "needed": {"width_mm": width, "height_mm": height},
        "available": {"width_mm": across, "height_mm": up},
        "short_by_mm": first.error.short_by,
        "largest": {
            "scale": first.error.largest_scale,
            **{f"{name}_mm": mm for name, mm in all_sizes[0].items()},
        },
    }
    faults = []
    for misfit, sizes, percent in zip(misfits, all_sizes, percents, strict=True):
        text = _too_large(kit, misfit, sizes, percent)
        index = list(kit.pieces).index(misfit.error.piece)
        cure = _smaller(smallest[misfit.error.piece], f"/pieces/{index}/shape", kit.units)
        faults.append(Fault(f"#/runs/{misfit.run}", text))
        faults.append(Fault(f"#/pieces/{index}/shape", text, cure, percent or None))
    detail = faults[0].detail
    if len(misfits) > 1:
        detail = f"{len(misfits)} outlines are larger than the work area; see errors."
    return DoesNotFitError(detail, faults, **extra)


def _smaller(sizes: Mapping[str, float], shape: str, units: str) -> Cure | None:
    """Return the change of a piece to its largest size that fits; ``None`` where none is known."""
    if not sizes:
        return None
    words = {name: lengths.format_length(mm, units) for name, mm in sizes.items()}
    changes = tuple(Change(f"{shape}/{name}", text) for name, text in words.items())
    stated = " and ".join(f"{text} {name.replace('_', ' ')}" for name, text in words.items())
    return Cure(f"Make the piece smaller: {stated}", changes)


def _largest_sizes(kit: Kit, misfit: Misfit) -> dict[str, float]:
    piece, run = kit.pieces[misfit.error.piece], kit.runs[misfit.run]
    return largest_sizes(piece, run, misfit.room, kit.units)


def _largest_percent(kit: Kit, misfit: Misfit) -> int:
    piece, run = kit.pieces[misfit.error.piece], kit.runs[misfit.run]
    return largest_percent(piece, run, misfit.room, misfit.error)


def _too_large(kit: Kit, misfit: Misfit, sizes: Mapping[str, float], percent: int) -> str:
    """Return why a piece does not fit, and its largest size that would."""
    error, run = misfit.error, kit.runs[misfit.run]
    piece = kit.pieces[error.piece]
    largest = largest_sentence(sizes, kit.units)
    if not largest:
        largest = largest_share_sentence(piece, run, percent, kit.units)
    needed = f"{lengths.format_mm(error.needed[0])} by {lengths.format_mm(error.needed[1])} mm"
    room = f"{lengths.format_mm(error.available[0])} by {lengths.format_mm(error.available[1])} mm"
    if error.short_by > 0.0:
        why = (
            f"needs {needed}, and the work area is {room}: short by "
            f"{lengths.format_mm(error.short_by)} mm whichever way it is turned."
        )
    else:
        why = (
            f"is {needed} and has no place in the work area whichever way it is turned: that is "
            f"{room} only where it is widest."
        )
    why = in_units(f"{why} {misfit.kept}".rstrip(), kit.units, at_the_bench=True)
    return f'The {run.cut} of piece "{piece.id}" ({piece.title}) {why} {largest}'.rstrip()
