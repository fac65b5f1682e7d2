"""Pieces that are larger than the work area: all of a kit, not only the first that is found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from geometry.errors import GeometryError
from geometry.layout.fitting.fit import DoesNotFit
from geometry.model.cutter import WorkArea
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.gaps import with_min_gap
from service.runs.layout_step import require_fit, room_of, room_warnings
from service.runs.plies import items_of, plies_of
from service.runs.stock import largest_part
from service.tools import kind_of

#: Misfits that are looked for: each makes two errors, and no more are reported than a few dozen.
_MAX_FOUND = 20


@dataclass(frozen=True)
class Misfit:
    """One piece that a run has no room for.

    Args:
        run: index of the run.
        error: how large the piece is, and how large the room.
        room: where pieces may lie.
        kept: says what of the work area the tool itself needs.
    """

    run: int
    error: DoesNotFit
    room: WorkArea
    kept: str


def misfits_of(
    kit: Kit, first: int, error: DoesNotFit, should_stop: Callable[[], bool] | None
) -> list[Misfit]:
    """Return every piece that does not fit, of one run and those after it.

    Args:
        kit: the kit.
        first: index of the run whose layout failed.
        error: what its layout failed with.
        should_stop: ends the search for more.
    """
    found: list[Misfit] = []
    for index in range(first, len(kit.runs)):
        try:
            _look(kit, index, error if index == first else None, should_stop, found)
        except GeometryError:
            # What else is wrong with that run is reported once its pieces fit.
            continue
        if len(found) >= _MAX_FOUND:
            break
    return found


def _on_pages(run: Run) -> list[str]:
    """Say how what is printed at home becomes larger than a page."""
    if "pdf" not in run.formats or not kind_of(run.cutter.tool).is_cut_by_hand:
        return []
    return [
        (
            'To print it over several pages that are joined, state the cutter\'s "paper" with '
            '"pages_across" and "pages_down".'
        )
    ]


def _look(
    kit: Kit,
    index: int,
    known: DoesNotFit | None,
    should_stop: Callable[[], bool] | None,
    found: list[Misfit],
) -> None:
    run, _ = with_min_gap(kit.runs[index])
    items = items_of(kit, run, plies_of(kit, run))
    run = largest_part(run, items)
    room = room_of(run, items)
    kept = " ".join([*room_warnings(run, items), *_on_pages(run)])
    if known is not None:
        found.append(Misfit(index, known, room, kept))
    for item in items:
        if known is not None and item.piece == known.piece:
            continue
        if len(found) >= _MAX_FOUND or (found and should_stop is not None and should_stop()):
            return
        try:
            require_fit(item, run, room)
        except DoesNotFit as error:
            found.append(Misfit(index, error, room, kept))
