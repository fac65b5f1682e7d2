"""An order on a roll: one length of it, or several where only so much is drawn off at once."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, suppress
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np

from geometry.layout.bound import most_on_one
from geometry.layout.effort import Budget, Effort, SearchEnded
from geometry.layout.item import Item
from geometry.layout.objective import placement_bounds
from geometry.layout.one_kind.shared_out import Split, least_split
from geometry.layout.orders.best_loads import BestLoads
from geometry.layout.rolls.lengths_by_count import lengths_by_count
from geometry.layout.rolls.roll import roll_layouts
from geometry.layout.task import Loads, Task
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load
from geometry.tolerance import LAYOUT_ACCURACY

#: Loads of a whole order with what is to be said of them.
Layouts: TypeAlias = Iterator[tuple[Loads, tuple[str, ...]]]
#: Share of a stage's steps that it takes, beside the others, to share one kind among lengths.
_STEPS_TO_SHARE = 0.5


def on_roll(
    task: Task, effort: Effort, budget: Budget, on_sheets: Callable[[Task], Layouts]
) -> Layouts:
    """Yield one length of roll, or as many as it takes where a length has its limit.

    Args:
        task: the order, on the roll.
        effort: how wide to search.
        budget: pays for it.
        on_sheets: yields the loads of an order on sheets.

    Raises:
        DoesNotFit: when an item is larger than the roll however it may be turned.
        SearchEnded: when the budget is spent.
    """
    lengths = _Lengths(task, effort)
    for load in lengths.drawn(task.items, budget):
        if lengths.is_within(load):
            yield (load,), ()
    if lengths.is_within(load):
        return
    best = _Best(task)
    if len(task.items) == 1:
        with _own(budget, effort) as own, suppress(SearchEnded):
            for loads in lengths.shared_out(task.items[0], own):
                yield best.noted(loads, ())
    for loads, warnings in on_sheets(task.on(lengths.sheet)):
        yield best.noted(loads, warnings)
        # The last length holds less: it is drawn off no farther than it has to be.
        if loads[-1].repeats == 1:
            for last in lengths.shorter(loads[-1], budget):
                yield best.noted((*loads[:-1], last), warnings)
    # On a sheet a load may lie along the lower side; of a roll only its length counts.
    loads, warnings = best.loads, best.warnings
    for at, each in enumerate(loads):
        for short in lengths.shorter(each, budget):
            loads = (*loads[:at], short, *loads[at + 1 :])
            yield loads, warnings


def _own(budget: Budget, effort: Effort) -> AbstractContextManager[Budget]:
    """Return steps for loads of one kind, beside those of a stage that has a limit."""
    steps = math.inf if math.isinf(budget.left) else _STEPS_TO_SHARE * effort.steps
    return budget.beside(steps)


@dataclass
class _Best(BestLoads):
    """The best loads of this stage so far, with what is to be said of them."""

    warnings: tuple[str, ...] = ()

    def noted(self, loads: Loads, warnings: tuple[str, ...]) -> tuple[Loads, tuple[str, ...]]:
        """Return loads and their warnings, which are kept if none are better."""
        if self.keep(loads):
            self.warnings = warnings
        return loads, warnings


class _Lengths:
    """The lengths that are drawn off a roll."""

    def __init__(self, task: Task, effort: Effort) -> None:
        self.task, self.effort = task, effort
        self._known: dict[tuple[tuple[str, int], ...], Load] = {}

    @property
    def sheet(self) -> WorkArea:
        """The most that is drawn off at once, as a sheet."""
        room, box = self.task.room, self.task.room.bounds
        return WorkArea.rectangle(box.left, box.bottom, room.longest, box.height)

    def is_within(self, load: Load) -> bool:
        """Return whether a load is no longer than is drawn off at once."""
        return self._length(load) <= self.task.room.longest + LAYOUT_ACCURACY

    def drawn(self, items: Sequence[Item], budget: Budget) -> Iterator[Load]:
        """Yield ever shorter lengths with all of these pieces, whatever the limit."""
        task = self.task
        how: dict[str, Any] = {"effort": self.effort, "budget": budget}
        for placements in roll_layouts(items, task.room, gap=task.gap, seed=task.seed, **how):
            yield Load(placements)

    def shorter(self, load: Load, budget: Budget) -> Iterator[Load]:
        """Yield ever shorter lengths with the pieces of a load, as often as it is cut."""
        counts = load.outlines
        question = tuple(sorted(counts.items()))
        kinds = [
            replace(item, quantity=counts[item.piece])
            for item in self.task.items
            if item.piece in counts
        ]
        known = [self._known[question]] if question in self._known else self.drawn(kinds, budget)
        for found in known:
            self._known[question] = found
            if self._length(found) < self._length(load):
                load = replace(found, repeats=load.repeats)
                yield load

    def shared_out(self, item: Item, budget: Budget) -> Iterator[Loads]:
        """Yield loads of one kind in rows: each as many as go, and what takes least together."""
        task, sheet = self.task, self.sheet
        most = min(item.quantity, most_on_one(item, sheet, task.gap))
        how: dict[str, Any] = {"gap": task.gap, "effort": self.effort, "budget": budget}
        shares = lengths_by_count(item, sheet, most, **how) / sheet.bounds.width
        full = int(np.flatnonzero(np.isfinite(shares))[-1])
        if not full:
            return
        repeats, rest = divmod(item.quantity, full)
        splits: list[Split] = [((full, repeats), (rest, 1)) if rest else ((full, repeats),)]
        found = least_split(shares, item.quantity, repeats + (rest > 0))
        if found is not None:
            splits.append(found[1])
        for split in splits:
            loads = [self._load(item, *each, budget) for each in split]
            if all(loads):
                yield tuple(load for load in loads if load)

    def _load(self, item: Item, count: int, repeats: int, budget: Budget) -> Load | None:
        """Return so many pieces on the shortest length; ``None`` where they take more than one."""
        best: Load | None = None
        for load in self.drawn([replace(item, quantity=count)], budget):
            if self.is_within(load):
                best = replace(load, repeats=repeats)
        return best

    def _length(self, load: Load) -> float:
        """Return the length of roll that a load takes, mm."""
        room = self.task.room
        return placement_bounds(load.placements, self.task.outlines).right - room.bounds.left
