"""Loads of a few kinds in columns that stand or lie, shared out so that all take least material.

What a load's columns take is known for every number of pieces of each kind, so the loads are chosen
together: a full one may hold less than it could, where the last one is so much shorter.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import product
from typing import Final

import numpy as np

from geometry.layout.bound import min_loads, most_on_one
from geometry.layout.columns.column_cover import MAX_KINDS, are_few
from geometry.layout.columns.column_direction import ColumnDirection, DirectionCover
from geometry.layout.columns.kind_columns import KindColumns
from geometry.layout.effort import Budget, Effort
from geometry.layout.item import Filling
from geometry.layout.kinds.load_shares import MAX_SHARED, loads_of_one_kind, shared_out
from geometry.layout.kinds.one_mixed import blocks_of
from geometry.layout.kinds.repeated_loads import RepeatedLoads
from geometry.layout.objective import used_strip
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.task import Loads, Task, flush
from geometry.model.placement import Load

#: Steps for the columns of an order, and for each state. Own measurement.
_STEPS: Final = 30.0
_STEPS_PER_STATE: Final = 0.05
#: Numbers of pieces of each kind above which no lanes are sought.
_MAX_IN_LANES: Final = 1_500


def loads_in_columns(
    task: Task, effort: Effort, budget: Budget, max_loads: int, *, repeated: bool = True
) -> Iterator[Loads]:
    """Yield a whole order on as few loads as columns need, and on least material.

    Args:
        task: what is laid out where.
        effort: how far to search.
        budget: pays for it.
        max_loads: more than these are not sought.
        repeated: whether loads are sought for more pieces than a table counts, too.

    Raises:
        SearchEnded: when the budget is spent.
    """
    quantities = [item.quantity for item in task.items]
    if not task.room.is_rectangle or not 1 < len(quantities) <= MAX_KINDS:
        return
    found = False
    if are_few(quantities) and min_loads(task.items, task.room, task.gap) <= MAX_SHARED:
        for loads in _all_shared_out(task, effort, budget, max_loads):
            found = True
            yield loads
    if not found and repeated:
        budget.spend(_STEPS)
        # No column holds more than a whole sheet.
        most = [min(item.quantity, most_on_one(item, task.room, task.gap)) for item in task.items]
        directions = _directions(task, most, effort, budget)
        yield from RepeatedLoads(task, directions, effort, budget).least(max_loads)


def _directions(
    task: Task, most: Sequence[int], effort: Effort, budget: Budget
) -> list[ColumnDirection]:
    """Return the columns that stand, and those that lie, with at most so many of each kind."""
    kinds = [
        (
            replace(item, quantity=count),
            [] if item.fills_its_box else blocks_of(task, item, effort, budget),
        )
        for item, count in zip(task.items, most, strict=True)
    ]
    return [
        ColumnDirection.of(
            [
                KindColumns(item, rows, task.room, task.gap, from_left, effort.blocks > 0)
                for item, rows in kinds
            ]
        )
        for from_left in (True, False)
    ]


def _all_shared_out(task: Task, effort: Effort, budget: Budget, max_loads: int) -> Iterator[Loads]:
    """Yield loads of few pieces, chosen together from a table of all their numbers."""
    quantities = [item.quantity for item in task.items]
    budget.spend(_STEPS + _STEPS_PER_STATE * math.prod(each + 1 for each in quantities))
    directions = _directions(task, quantities, effort, budget)
    both = [DirectionCover(each, quantities) for each in directions]
    shares = np.minimum(*(each.shares for each in both))
    alone: dict[tuple[int, ...], Filling] = {}
    for counts, filling in loads_of_one_kind(task, quantities):
        share = used_strip(filling, task.outlines, task.room).share
        if share < shares[counts] - SLACK:
            shares[counts], alone[counts] = share, filling
    found = shared_out(shares, min(max_loads, MAX_SHARED))
    if found is None:
        return

    known = {counts: float(shares[counts]) for counts in found}
    yield _loads(found, known, alone, both, task)
    if effort.blocks and shares.size <= _MAX_IN_LANES:
        # Each load once more with two lanes: a table of all numbers in lanes would take long.
        for counts, each in product(known, both):
            share, filling = each.in_lanes(counts, known[counts], budget)
            if filling:
                known[counts], alone[counts] = share, filling
        if any(share < shares[counts] for counts, share in known.items()):
            yield _loads(found, known, alone, both, task)


def _loads(
    found: Sequence[tuple[int, ...]],
    known: Mapping[tuple[int, ...], float],
    other: Mapping[tuple[int, ...], Filling],
    both: Sequence[DirectionCover],
    task: Task,
) -> Loads:
    """Return loads of what each holds, the one that takes least last."""

    def laid(counts: tuple[int, ...]) -> Filling:
        if counts in other:
            return flush(other[counts], task)
        return flush(min(both, key=lambda each: each.shares[counts]).filling(counts), task)

    loads = [
        (-round(known[counts], 9), counts, repeats) for counts, repeats in Counter(found).items()
    ]
    return tuple(Load(laid(counts), repeats) for _, counts, repeats in sorted(loads))
