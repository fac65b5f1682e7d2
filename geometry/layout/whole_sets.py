"""Loads of whole sets: each holds the kinds of an order in the proportion asked."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from geometry.layout.bottom_left import Placed
from geometry.layout.bound import grown_area, room_area
from geometry.layout.effort import Budget, Effort
from geometry.layout.loads import loads_of
from geometry.layout.mixtures import one_mixed
from geometry.layout.task import Loads, Task
from geometry.model.placement import Load, Placement


def load_sets(
    task: Task, effort: Effort, budget: Budget
) -> Iterator[tuple[Loads, tuple[str, ...]]]:
    """Yield loads of whole sets, ever more sets on each.

    Raises:
        DoesNotFit: when an item is larger than the room however it may be turned.
        SearchEnded: when the budget is spent.
    """
    sets = math.gcd(*(item.quantity for item in task.items))
    one = {item.piece: item.quantity // sets for item in task.items}
    parts = [replace(item, quantity=one[item.piece]) for item in task.items]
    taken_up = sum(grown_area(item.outline, task.gap) * item.quantity for item in parts)
    high = min(sets, math.floor(room_area(task.room, task.gap) / taken_up + 1e-9))
    low = task.sets_on_one
    first = low == 0
    while low < high:
        # From nothing by halves; from what an earlier stage found one by one.
        middle = (low + high + 1) // 2 if first and low else low + 1
        wanted = {piece: count * middle for piece, count in one.items()}
        placed = one_mixed(task, wanted, effort, budget)
        if len(placed) == sum(wanted.values()):
            low = task.sets_on_one = middle
            yield _of_sets(placed, one, sets, low), ()
        elif first and low:
            high = middle - 1
        else:
            break
    if low == 0:
        kinds = " and ".join(f'{count} of "{piece}"' for piece, count in one.items())
        warning = (
            f"A full set does not fit on one load: it is {kinds}. The loads hold parts of sets."
        )
        for loads in loads_of(task, effort, budget):
            yield loads, (warning,)


def _of_sets(placed: Sequence[Placed], one: Mapping[str, int], sets: int, on_one: int) -> Loads:
    repeats, rest = divmod(sets, on_one)
    loads = (Load(tuple(each.placement for each in placed), repeats),)
    if not rest:
        return loads
    left = {piece: count * rest for piece, count in one.items()}
    kept: list[Placement] = []
    for each in placed:
        placement = each.placement
        if left[placement.piece]:
            left[placement.piece] -= 1
            kept.append(placement)
    return (*loads, Load(tuple(kept)))
