"""Loads on the least strips of their kinds, and a last one that is made shorter still."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial
from itertools import product
from typing import Final

from geometry.layout.bound import grown_area, room_area
from geometry.layout.common_lines.turned_blocks import turned_to_meet
from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Side
from geometry.layout.grids.grid_and_rows import grid_and_rows
from geometry.layout.grids.grid_loads import on_grid
from geometry.layout.kinds.kinds_beside import LowStrips
from geometry.layout.kinds.mixed_kinds import orders_of
from geometry.layout.kinds.one_mixed import MAX_MIXED, STRIP_ORDERS, blocks_of
from geometry.layout.kinds.row_pockets import in_pockets
from geometry.layout.nesting.nester_search import shorter_strips
from geometry.layout.objective import used_strip
from geometry.layout.one_kind.least_strips import on_least_strip
from geometry.layout.task import Loads, Task, flush
from geometry.model.placement import Load

#: Sides that pieces between rows are put against, and whether the last turns are taken.
_PUT: Final = ((Side.LEFT, Side.BOTTOM), (False, True))


def finished(
    task: Task, loads: Loads, effort: Effort, budget: Budget, below: float
) -> Iterator[Loads]:
    """Yield loads on their least strips, and the last one on shorter ones than that.

    It holds what is left: on a shorter strip more of its sheet stays whole.

    Args:
        task: what is laid out where.
        loads: all of the order.
        effort: how far to search.
        budget: pays for it.
        below: the material that another layout takes; the last load is left where not even pieces
            without any waste would take less.

    Raises:
        SearchEnded: when the budget is spent.
    """
    *before, last = (_on_least_strip(task, load, effort) for load in loads)
    yield (*before, last)
    share = used_strip(last.placements, task.outlines, task.room).share
    others = task.score((*before, last))[2] - share
    if last.repeats > 1 or others + _least_share(task, last.outlines) >= below:
        return
    gridded = on_grid(task, last.outlines, effort, budget, share)
    if gridded:
        yield (*before, Load(flush([each.placement for each in gridded], task)))
    for load in _in_pockets(task, last, effort, budget):
        yield (*before, load)
    for load in _beside(task, last, effort, budget):
        yield (*before, load)
    for load in shortened_load(task, last.outlines, effort, budget):
        yield (*before, load)


def _least_share(task: Task, wanted: Mapping[str, int]) -> float:
    """Return the share of a sheet that pieces take without any waste."""
    grown = sum(
        grown_area(item.outline, task.gap) * wanted.get(item.piece, 0) for item in task.items
    )
    box, gap = task.room.bounds, task.gap
    part = grown / room_area(task.room, gap)
    # A strip is a gap shorter than the pieces' bands.
    return min((part * (side + gap) - gap) / side for side in (box.width, box.height))


def _on_least_strip(task: Task, load: Load, effort: Effort) -> Load:
    """Return a load, of one kind on the least strip of its rows; of several edge to edge."""
    kinds = [item for item in task.items if item.piece in load.outlines]
    if len(kinds) > 1:
        return replace(load, placements=turned_to_meet(task, load.placements))
    return replace(load, placements=on_least_strip(task, kinds[0], load.placements, effort))


def _in_pockets(task: Task, last: Load, effort: Effort, budget: Budget) -> Iterator[Load]:
    """Yield a load with its small kinds in pockets of rows: in the first stage, which is not paid.

    All stages keep what it finds, and later ones have as many steps as without.
    """
    if effort.blocks:
        return
    share = used_strip(last.placements, task.outlines, task.room).share
    key = tuple(sorted(last.outlines.items()))
    # Layouts differ in the loads before the last one: it is not sought again for each.
    if key not in task.pockets:
        found = [each for _, each in in_pockets(task, last.outlines, share, effort, budget)]
        task.pockets[key] = found[-1] if found else ()
    if task.pockets[key]:
        yield Load(task.pockets[key])


def _beside(task: Task, last: Load, effort: Effort, budget: Budget) -> Iterator[Load]:
    """Yield a load of several kinds on lower strips, its kinds side by side or between rows."""
    wanted, room = last.outlines, task.room
    here = [item for item in task.items if wanted.get(item.piece)]
    if len(here) < 2 or not effort.blocks or not room.is_rectangle:  # noqa: PLR2004
        return
    if sum(wanted.values()) > MAX_MIXED:
        return
    share = used_strip(last.placements, task.outlines, room).share
    known = {item.piece: blocks_of(task, item, effort, budget) for item in here}
    if not all(known.values()):
        return
    gridded = [each.placement for each in on_grid(task, wanted, effort, budget, share)]
    least = used_strip(gridded, task.outlines, room).share if gridded else share
    for _, filling in grid_and_rows(
        here,
        wanted,
        known,
        room,
        min(least, share),
        gap=task.gap,
        effort=effort,
        budget=budget,
    ):
        yield Load(filling)
    ways = list(product(orders_of(here, wanted, effort)[:STRIP_ORDERS], *_PUT))
    for side in (0, 1):
        low = LowStrips(wanted, known, side, room, task.gap, effort, budget)
        searches = [partial(low.beside, here)]
        searches += [partial(low.between, order, end, reverse=last) for order, end, last in ways]
        for search in searches:
            for less, filling in search(share):
                share = less
                yield Load(flush(filling, task))


def shortened_load(
    task: Task, wanted: Mapping[str, int], effort: Effort, budget: Budget
) -> Iterator[Load]:
    """Yield one load of all that is wanted on ever shorter strips, as the nester lays them."""
    found = shorter_strips(
        task.items,
        wanted,
        task.room,
        gap=task.gap,
        seed=task.seed,
        effort=effort,
        budget=budget,
    )
    for placed in found:
        yield Load(flush([each.placement for each in placed], task))
