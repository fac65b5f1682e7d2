"""Loads of whole sets: each holds the kinds of an order in the proportion asked."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from geometry.layout.bound import grown_area, room_area
from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.grids.grid_loads import on_grid
from geometry.layout.item import Item
from geometry.layout.kinds.one_mixed import one_mixed
from geometry.layout.objective import used_strip
from geometry.layout.orders.loads import loads_of
from geometry.layout.task import Loads, Task
from geometry.model.placement import Load, Placement
from geometry.sentences import said


def load_sets(
    task: Task, effort: Effort, budget: Budget
) -> Iterator[tuple[Loads, tuple[str, ...]]]:
    """Yield loads of whole sets, ever more sets on each.

    Raises:
        DoesNotFit: when an item is larger than the room however it may be turned.
        SearchEnded: when the budget is spent.
    """
    for loads in sets_alike(task, effort, budget):
        yield loads, ()
    if task.sets_on_one == 0:
        kinds = " and ".join(f'{n} of "{piece}"' for piece, n in _one_set(task.items).items())
        warning = said(
            "A full set does not fit on one load: it is {kinds}. The loads hold parts of sets.",
            kinds=kinds,
        )
        for loads in loads_of(task, effort, budget):
            yield loads, (warning,)


def sets_alike(task: Task, effort: Effort, budget: Budget) -> Iterator[Loads]:
    """Yield loads with ever more whole sets on each; none where not even one fits on a load.

    Raises:
        SearchEnded: when the budget is spent.
    """
    counts = {item.piece: item.quantity for item in task.items}
    one = _one_set(task.items)
    sets = max(math.ceil(count / one[piece]) for piece, count in counts.items())
    parts = [replace(item, quantity=min(one[item.piece], item.quantity)) for item in task.items]
    taken_up = sum(grown_area(item.outline, task.gap) * item.quantity for item in parts)
    high = min(sets, math.floor(room_area(task.room, task.gap) / taken_up + 1e-9))
    low = task.sets_on_one
    first = low == 0
    while low < high:
        # From nothing by halves; from what an earlier stage found one by one.
        middle = (low + high + 1) // 2 if first and low else low + 1
        wanted = {piece: min(one[piece] * middle, count) for piece, count in counts.items()}
        placed = one_mixed(task, wanted, effort, budget)
        if len(placed) < sum(wanted.values()) and task.room.is_rectangle:
            # Rows of each kind beside each other may hold what a mixture does not.
            placed = one_mixed(task, wanted, effort, budget, strips=True)
        if len(placed) == sum(wanted.values()):
            low = task.sets_on_one = middle
            yield _of_sets(placed, counts)
            share = used_strip([each.placement for each in placed], task.outlines, task.room).share
            gridded = on_grid(task, wanted, effort, budget, share)
            if gridded:
                yield _of_sets(gridded, counts)
        elif first and low:
            high = middle - 1
        else:
            break


def _one_set(items: Sequence[Item]) -> dict[str, int]:
    """Return the outlines of one set: as stated, or in the proportion of the quantities."""
    if all(item.per_set for item in items):
        return {item.piece: item.per_set for item in items}
    sets = math.gcd(*(item.quantity for item in items))
    return {item.piece: item.quantity // sets for item in items}


def _of_sets(placed: Sequence[Placed], counts: Mapping[str, int]) -> Loads:
    """Return loads like the one placed, and a last one of what is left: the rest of a set too."""
    on_one = Counter(each.placement.piece for each in placed)
    repeats = min(counts[piece] // count for piece, count in on_one.items())
    loads = (Load(tuple(each.placement for each in placed), repeats),)
    left = {piece: counts[piece] - count * repeats for piece, count in on_one.items()}
    if not any(left.values()):
        return loads
    kept: list[Placement] = []
    for each in placed:
        placement = each.placement
        if left[placement.piece]:
            left[placement.piece] -= 1
            kept.append(placement)
    return (*loads, Load(tuple(kept)))
