"""One load of several kinds, as full as was found: one by one, in rows, on a grid, or nested."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import product
from typing import Any

from geometry.layout.bound import grown_area, most_on_one, room_area
from geometry.layout.columns.box_columns import box_columns
from geometry.layout.columns.column_cover import are_few
from geometry.layout.effort import QUICK, Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, placed_of
from geometry.layout.grids.grid_loads import on_grid
from geometry.layout.item import Item
from geometry.layout.kinds.kind_strips import kind_strips
from geometry.layout.kinds.mixed_kinds import mixed_loads, orders_of
from geometry.layout.nesting.nester_search import all_on_one
from geometry.layout.objective import used_strip
from geometry.layout.rows.box_rows import plain_strips
from geometry.layout.rows.row_blocks import RowBlocks, row_blocks
from geometry.layout.strips.strips import shortest_patterns
from geometry.layout.task import Task
from geometry.measure import area

#: Pieces of all kinds up to which they are also mixed from the first load on.
MAX_MIXED = 400
#: Orders of kinds that are tried in strips: the largest first, the longest first.
STRIP_ORDERS = 2
#: Patterns of each kind that make the shortest strips along a side, beside the densest ones.
_SHORTEST = 1


def one_mixed(
    task: Task, wanted: Mapping[str, int], effort: Effort, budget: Budget, *, strips: bool = False
) -> list[Placed]:
    """Return one load of a mixture, as full as was found, of equally full ones the shortest.

    ``strips`` says whether kinds are laid in rows on strips of their own.
    """
    room, gap = task.room, task.gap
    placed: list[Placed] = []
    least: tuple[float, float] | None = None
    for found in _mixed(task, wanted, effort, budget, strips=strips):
        covered = sum(area(each.variant.base) for each in found)
        share = used_strip([each.placement for each in found], task.outlines, room).share
        reached = (-round(covered, 6), round(share, 9))
        if least is None or reached < least:
            least, placed = reached, found
    if strips or len(placed) == sum(wanted.values()):
        return placed
    gridded = on_grid(task, wanted, effort, budget)
    if gridded or not effort.both_directions:
        return gridded or placed
    taken_up = sum(grown_area(item.outline, gap) * wanted[item.piece] for item in task.items)
    if taken_up > room_area(room, gap):
        return placed
    seed = task.seed
    nested = all_on_one(task.items, wanted, room, gap=gap, seed=seed, effort=effort, budget=budget)
    return nested or placed


def _mixed(
    task: Task, wanted: Mapping[str, int], effort: Effort, budget: Budget, *, strips: bool
) -> Iterator[list[Placed]]:
    """Yield loads of a mixture: kinds one after the other, or each on strips of its own."""
    room, gap = task.room, task.gap
    if not strips:
        yield from mixed_loads(task.items, wanted, room, gap=gap, effort=effort, budget=budget)
        return
    here = [item for item in task.items if wanted[item.piece]]
    # Columns of a few kinds are shared out over all loads at once, in ``loads_in_columns``.
    in_boxes = [plain_strips] if are_few([*wanted.values()]) else [plain_strips, box_columns]
    for from_left in (True, False):
        for laid in in_boxes:
            filling = laid(here, wanted, room, gap, from_left=from_left)
            if filling:
                yield placed_of(filling, dict(task.outlines))
    known = {item.piece: blocks_of(task, item, effort, budget) for item in here}
    for order in orders_of(here, wanted, effort)[:STRIP_ORDERS]:
        for side, whole_rows in product((0, 1), (True, False)):
            blocks = {piece: both[side] for piece, both in known.items() if both}
            if len(blocks) == len(here):
                yield kind_strips(
                    order,
                    wanted,
                    blocks,
                    room,
                    whole_rows=whole_rows,
                    gap=gap,
                    effort=effort,
                    budget=budget,
                )


def blocks_of(task: Task, item: Item, effort: Effort, budget: Budget) -> list[RowBlocks]:
    """Return the blocks of rows of a kind, made once for each effort."""
    key = (item.piece, effort.name)
    if key not in task.blocks:
        most = min(item.quantity, most_on_one(item, task.room, task.gap))
        # A few pieces lie best in one row, which need not be one of the densest pattern.
        full = len(task.known.get(item.piece, ()))
        rest = (item.quantity % full if full else 0) or most
        how: dict[str, Any] = {"gap": task.gap, "budget": budget}
        more = shortest_patterns(item, task.room, rest, _SHORTEST, effort=QUICK, **how)
        effort = replace(effort, blocks=effort.kind_blocks)
        task.blocks[key] = row_blocks(item, task.room, most, effort=effort, more=more, **how)
    return task.blocks[key]
