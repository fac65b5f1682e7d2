"""Ever lower strips along a side of a sheet that hold all that is wanted, found by halving."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence

from geometry.layout.item import Filling, Item
from geometry.layout.objective import placement_bounds
from geometry.layout.rows.row_laying import SLACK
from geometry.measure import area
from geometry.model.cutter import WorkArea

#: How much lower than the least strip known one must be to be tried, mm.
_LOWER = 2.0 * SLACK


def lower_strips(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    share: float,
    on_strip: Callable[[WorkArea], Filling | None],
    *,
    from_left: bool,
    halvings: int,
    likely: float = math.inf,
) -> Iterator[tuple[float, Filling]]:
    """Yield all that is wanted on ever lower strips, each with its share of the room.

    Args:
        items: the kinds.
        wanted: how many of each.
        room: a rectangle.
        share: of the room, that the least strip known takes.
        on_strip: lays everything on a strip, or returns ``None`` where it does not go there.
        from_left: whether the strip runs from left to right, or from below to the top.
        halvings: of the range in which the least height lies.
        likely: a height that is tried first, mm: of a strip that some of the pieces fill.
    """
    outlines = {item.piece: item.outline for item in items}
    side, across = _along_and_across(room, from_left=from_left)

    def tried(height: float) -> tuple[float, Filling] | None:
        found = on_strip(_strip(room, height, from_left=from_left))
        if found is None:
            return None
        used = placement_bounds(found, outlines)
        return (used.height if from_left else used.width), found

    # No strip is lower than one that all pieces cover.
    lowest = math.fsum(area(item.outline) * wanted[item.piece] for item in items) / side
    works = share * across
    if lowest - SLACK < likely < works - _LOWER and (laid := tried(likely)):
        works = laid[0]
        yield works / across, laid[1]
    for end, filling in _halved(tried, lowest, works, halvings):
        yield end / across, filling


def first_strip(room: WorkArea, share: float, *, from_left: bool) -> WorkArea:
    """Return the strip that is tried first where no height is likely: a hardly lower one.

    Args:
        room: a rectangle.
        share: of the room, that the least strip known takes.
        from_left: whether the strip runs from left to right, or from below to the top.
    """
    _, across = _along_and_across(room, from_left=from_left)
    return _strip(room, share * across - _LOWER, from_left=from_left)


def _strip(room: WorkArea, height: float, *, from_left: bool) -> WorkArea:
    side, _ = _along_and_across(room, from_left=from_left)
    size = (side, height) if from_left else (height, side)
    return WorkArea.rectangle(room.bounds.left, room.bounds.bottom, *size)


def _along_and_across(room: WorkArea, *, from_left: bool) -> tuple[float, float]:
    """Return how long strips of a room are, and how high they may be, mm."""
    box = room.bounds
    return (box.width, box.height) if from_left else (box.height, box.width)


def _halved(
    tried: Callable[[float], tuple[float, Filling] | None],
    fails: float,
    works: float,
    halvings: int,
) -> Iterator[tuple[float, Filling]]:
    """Yield what goes on ever lower strips between two heights, with the height it takes."""
    # At first a strip that is hardly lower: mostly there is none.
    height = works - _LOWER
    for number in range(halvings):
        found = tried(height)
        if found is not None:
            works = found[0]
            yield found
        elif not number:
            return
        else:
            fails = height
        height = (fails + works) / 2.0
