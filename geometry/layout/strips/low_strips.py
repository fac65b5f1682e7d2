"""Ever lower strips along a side of a sheet that hold all that is wanted, found by halving."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence

from geometry.layout.item import Filling, Item
from geometry.layout.objective import placement_bounds
from geometry.layout.rows.row_laying import SLACK
from geometry.measure import area
from geometry.model.cutter import WorkArea


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
    box, outlines = room.bounds, {item.piece: item.outline for item in items}
    side, across = (box.width, box.height) if from_left else (box.height, box.width)

    def tried(height: float) -> tuple[float, Filling] | None:
        size = (side, height) if from_left else (height, side)
        found = on_strip(WorkArea.rectangle(box.left, box.bottom, *size))
        if found is None:
            return None
        used = placement_bounds(found, outlines)
        return (used.height if from_left else used.width), found

    # No strip is lower than one that all pieces cover.
    lowest = math.fsum(area(item.outline) * wanted[item.piece] for item in items) / side
    works = share * across
    if lowest - SLACK < likely < works - 2.0 * SLACK and (laid := tried(likely)):
        works = laid[0]
        yield works / across, laid[1]
    for end, filling in _halved(tried, lowest, works, halvings):
        yield end / across, filling


def _halved(
    tried: Callable[[float], tuple[float, Filling] | None],
    fails: float,
    works: float,
    halvings: int,
) -> Iterator[tuple[float, Filling]]:
    """Yield what goes on ever lower strips between two heights, with the height it takes."""
    # At first a strip that is hardly lower: mostly there is none.
    height = works - 2.0 * SLACK
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
