"""Several kinds on one load, each in rows on a strip of its own, the last pieces between them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, Side, add, placed_of
from geometry.layout.item import Item
from geometry.layout.rows.row_blocks import RowBlocks
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.model.cutter import WorkArea
from geometry.model.placement import shifted

#: Pieces above which the first stage, which nothing cuts short, puts none between the strips.
_MAX_FREE_QUICK = 400
#: Lengths that differ by less are the same, mm.
_SAME = 1e-6


def kind_strips(
    order: Sequence[Item],
    wanted: Mapping[str, int],
    blocks: Mapping[str, RowBlocks],
    room: WorkArea,
    *,
    whole_rows: bool,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> list[Placed]:
    """Return pieces of kinds in the order given, strip by strip from the left or from below.

    Args:
        order: the kinds; the first lies at the side.
        wanted: how many of each.
        blocks: the rows of each kind, all along the same side of the room.
        room: a rectangle.
        whole_rows: whether pieces that begin a row are put between the strips instead.
        gap: least distance, mm.
        effort: how many turns are tried for each piece between the strips.
        budget: pays for those.

    Raises:
        SearchEnded: when the budget is spent.
    """
    placed: list[Placed] = []
    rest: list[tuple[Item, int]] = []
    start, side = 0.0, Side.LEFT
    for item in order:
        rows, count = blocks[item.piece], wanted[item.piece]
        side = Side.LEFT if rows.from_left else Side.BOTTOM
        here = _whole(rows.lengths, count) if whole_rows else count
        here = min(here, _most(rows.lengths, count, rows.side - start))
        if here:
            dx, dy = (start, 0.0) if rows.from_left else (0.0, start)
            strip = shifted(rows.filling(here), dx, dy)
            placed.extend(placed_of(strip, {item.piece: item.outline}))
            start += float(rows.lengths[here]) + gap
        rest.append((item, count - here))
    for item, count in rest:
        if count and (effort.edge_fillings or len(placed) <= _MAX_FREE_QUICK):
            turns = effort.turns_per_piece
            add(item, count, room, placed, gap=gap, turns=turns, budget=budget, side=side)
    return placed


def _most(lengths: Values, count: int, side: float) -> int:
    """Return how many of so many pieces a length holds."""
    return int(np.flatnonzero(lengths[: count + 1] <= side + SLACK).max(initial=0))


def _whole(lengths: Values, count: int) -> int:
    """Return the most of so many pieces that leave no row unfilled."""
    if count + 1 >= len(lengths) or lengths[count + 1] > lengths[count] + _SAME:
        return count
    return int(np.flatnonzero(lengths[:count] < lengths[count] - _SAME).max(initial=0))
