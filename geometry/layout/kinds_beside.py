"""Several kinds on one strip of a sheet, each in a block of rows of its own, side by side.

A kind's rows need a shorter block the higher the strip is. So the least height at which all blocks
together are no longer than the strip is found by halving.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from geometry.layout.bottom_left import Placed, placed_of
from geometry.layout.effort import Budget
from geometry.layout.item import Filling, Item
from geometry.layout.objective import placement_bounds
from geometry.layout.row_blocks import RowBlocks
from geometry.layout.row_laying import SLACK
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.placement import shifted

#: Patterns of each kind that are looked at, and halvings of the strip's height.
_PATTERNS, _HALVINGS = 12, 14
#: Steps for one pattern laid on a strip. Own measurement.
_STEPS_PER_PATTERN = 0.5


def kinds_beside(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    blocks: Mapping[str, RowBlocks],
    room: WorkArea,
    share: float,
    *,
    gap: float,
    budget: Budget,
) -> Iterator[list[Placed]]:
    """Yield all that is wanted on ever lower strips, where they are lower than what is known.

    Args:
        items: the kinds; all are wanted.
        wanted: how many of each.
        blocks: patterns of rows of each kind, all along the same side of the room.
        room: a rectangle.
        share: of the room, that the least strip known takes.
        gap: least distance, mm.
        budget: pays for every pattern laid.

    Raises:
        SearchEnded: when the budget is spent.
    """
    box, outlines = room.bounds, {item.piece: item.outline for item in items}
    from_left = next(iter(blocks.values())).from_left
    side, across = (box.width, box.height) if from_left else (box.height, box.width)
    # At first a strip that is hardly lower: mostly there is none.
    fails, works = 0.0, share * across
    height = works - 2.0 * SLACK
    for _ in range(_HALVINGS):
        size = (side, height) if from_left else (height, side)
        strip = WorkArea.rectangle(box.left, box.bottom, *size)
        found = _on_strip(items, wanted, blocks, strip, side, gap, budget)
        if found is not None:
            yield found
            used = placement_bounds([each.placement for each in found], outlines)
            works = used.height if from_left else used.width
        elif not fails:
            return
        else:
            fails = height
        fails = fails or _lowest(items, wanted, side)
        height = (fails + works) / 2.0


def _lowest(items: Sequence[Item], wanted: Mapping[str, int], side: float) -> float:
    """Return a height that no strip is lower than: all pieces cover its area."""
    return math.fsum(area(item.outline) * wanted[item.piece] for item in items) / side


def _on_strip(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    blocks: Mapping[str, RowBlocks],
    strip: WorkArea,
    side: float,
    gap: float,
    budget: Budget,
) -> list[Placed] | None:
    """Return all pieces on a strip, kind after kind; ``None`` where they are longer than it."""
    placed: list[Placed] = []
    start = 0.0
    for item in items:
        rows, outlines = blocks[item.piece], {item.piece: item.outline}
        shortest: tuple[float, Filling] | None = None
        for way in rows.ways[:_PATTERNS]:
            budget.spend(_STEPS_PER_PATTERN)
            block = way.block(item, wanted[item.piece], strip)
            if len(block) < wanted[item.piece]:
                continue
            used = placement_bounds(block, outlines)
            length = used.width if rows.from_left else used.height
            if shortest is None or length < shortest[0] - SLACK:
                dx, dy = strip.bounds.left - used.left, strip.bounds.bottom - used.bottom
                shortest = length, shifted(block, dx, dy)
        if shortest is None or start + shortest[0] > side + SLACK:
            return None
        move = (start, 0.0) if rows.from_left else (0.0, start)
        placed.extend(placed_of(shifted(shortest[1], *move), outlines))
        start += shortest[0] + gap
    return placed
