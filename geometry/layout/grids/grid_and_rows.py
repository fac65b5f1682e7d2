"""Kinds on the cells of a grid, and rows of one of them behind: they may lie on point there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from geometry.layout.effort import Budget, Effort
from geometry.layout.grids.grid_strips import grid_strips
from geometry.layout.item import Filling, Item
from geometry.layout.objective import placement_bounds
from geometry.layout.rows.row_blocks import RowBlocks
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.placement import shifted

#: Rows behind the grid that are tried, of each kind along each side.
_MAX_ROWS = 4
#: Lengths and shares that differ by less are the same.
_SAME = 1e-6


def grid_and_rows(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    blocks: Mapping[str, Sequence[RowBlocks]],
    room: WorkArea,
    share: float,
    *,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> Iterator[tuple[float, Filling]]:
    """Yield ever shorter strips of a grid and of rows behind it, and their shares of the room.

    Args:
        items: the kinds; all are wanted.
        wanted: how many of each.
        blocks: the rows of each kind, along both sides.
        room: a rectangle.
        share: of the room, that the strip must stay below.
        gap: least distance, mm.
        effort: how far the grid is searched.
        budget: ends the search.
    """
    outlines = {item.piece: item.outline for item in items}
    covered = sum(area(item.outline) * wanted[item.piece] for item in items)
    for item in items:
        for side, rows in enumerate(blocks[item.piece]):
            across = room.bounds.height if rows.from_left else room.bounds.width
            for count in _whole_rows(rows, wanted[item.piece]):
                behind = float(rows.lengths[count]) + gap
                limit = share - behind / rows.side - _SAME
                rest = covered - area(item.outline) * count
                left = {**wanted, item.piece: wanted[item.piece] - count}
                here = [each for each in items if left[each.piece]]
                if not here or rest > limit * rows.side * across:
                    continue
                found = grid_strips(
                    here, left, room, limit,
                    gap=gap, nodes=effort.grid_nodes // 4, budget=budget, sides=(side,),
                )  # fmt: skip
                if found is None:
                    continue
                places = [each.placement for each in found]
                used, whole = placement_bounds(places, outlines), room.bounds
                places = list(shifted(places, whole.left - used.left, whole.bottom - used.bottom))
                length = used.width if rows.from_left else used.height
                move = (length + gap, 0.0) if rows.from_left else (0.0, length + gap)
                share = (length + behind) / rows.side
                yield share, (*places, *shifted(rows.filling(count), *move))


def _whole_rows(rows: RowBlocks, wanted: int) -> list[int]:
    """Return the numbers of pieces that leave no row unfilled, the fewest rows first."""
    lengths = rows.lengths[: min(wanted, rows.fullest) + 1]
    ends = np.flatnonzero(np.diff(lengths[1:]) > _SAME) + 1
    return [*ends[:_MAX_ROWS].tolist(), *([wanted] if wanted <= rows.fullest else [])][:_MAX_ROWS]
