"""Loads of several kinds: full ones of each, and what is left of all on loads that they share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import nullcontext, suppress
from dataclasses import replace
from functools import cached_property
from typing import Final

from geometry.layout.bound import min_loads
from geometry.layout.effort import Budget, Effort, SearchEnded
from geometry.layout.kinds.fill_up import filled_up
from geometry.layout.kinds.finished_loads import finished
from geometry.layout.kinds.loads_in_columns import loads_in_columns
from geometry.layout.kinds.one_mixed import MAX_MIXED, one_mixed
from geometry.layout.objective import Score, is_better, score
from geometry.layout.task import Loads, Task, flush, load_count
from geometry.model.placement import Load

#: Material of a layout, in that of the best, up to which the first stage finishes it too.
_NEARLY: Final = 1.06


def mixtures(
    task: Task, effort: Effort, budget: Budget, *, repeated: bool = True
) -> Iterator[Loads]:
    """Yield layouts of several kinds by the fullest fillings of each.

    ``repeated`` says whether loads in columns are sought for an order of dozens of each.
    """
    search = _Search(task, effort, budget)
    known = (*search.full, *search.alone)
    yield known
    rivals: list[Loads] = []
    # What follows takes the steps that are left: it never does with fewer than without columns.
    with budget.beside(budget.left) as own, suppress(SearchEnded):
        most = load_count(known)
        columns = loads_in_columns(task, effort, own, most, repeated=repeated)
        for loads in columns:
            rivals = [loads]
            yield loads
    for step in (search.rest_shared, search.filled_up, search.all_shared, search.on_strips):
        for loads in step(load_count(known)):
            if is_better(_score(task, loads), _score(task, known)):
                known = loads
            yield loads
    yield from _all_finished(task, [known, *rivals], effort, budget)


def _all_finished(
    task: Task, layouts: Sequence[Loads], effort: Effort, budget: Budget
) -> Iterator[Loads]:
    """Yield layouts with the fewest loads finished, each with as many steps as the first one."""
    scores = [_score(task, loads) for loads in layouts]
    least, steps = min(scores), budget.left
    for number, (loads, (_, count, material, *_)) in enumerate(zip(layouts, scores, strict=True)):
        # The first stage, which nothing cuts short, leaves what is hardly made better than that.
        if count > least[1] or (not effort.blocks and material > _NEARLY * least[2]):
            continue
        with budget.beside(steps) if number else nullcontext(budget) as own, suppress(SearchEnded):
            for found in finished(task, loads, effort, own, least[2]):
                least = min(least, _score(task, found))
                yield found
    budget.spend(0.0)


def _score(task: Task, loads: Loads) -> Score:
    wanted = sum(item.quantity for item in task.items)
    return score(loads, task.outlines, task.room, wanted)


class _Search:
    """One search for loads of several kinds; each step is given the fewest loads so far.

    Attributes:
        full: the full loads of each kind.
        alone: one more of each kind for what is left of it, and ``rest`` how much that is.
        least: loads that no layout can do without.
    """

    def __init__(self, task: Task, effort: Effort, budget: Budget) -> None:
        self.task, self.effort, self.budget = task, effort, budget
        self.wanted = {item.piece: item.quantity for item in task.items}
        self.total = sum(self.wanted.values())
        self.least = min_loads(task.items, task.room, task.gap)
        self.full: Loads = ()
        self.alone: Loads = ()
        self.rest: dict[str, int] = {}
        for item in task.items:
            filling = task.known[item.piece]
            repeats, rest = divmod(item.quantity, len(filling))
            self.rest[item.piece] = rest
            if repeats:
                self.full += (Load(flush(filling, task), repeats),)
            if rest:
                self.alone += (Load(flush(filling[:rest], task)),)

    def rest_shared(self, best: int) -> Iterator[Loads]:
        """Yield the full loads of each kind, and what is left of all kinds on shared ones."""
        if sum(count > 0 for count in self.rest.values()) > 1:
            yield from self._after(self.full, self.rest, best)

    def filled_up(self, best: int) -> Iterator[Loads]:
        """Yield fewer loads than the best so far with small kinds beside large ones."""
        if best > self.least:
            yield from self._after(*self._full_and_small, best - 1)

    def all_shared(self, best: int) -> Iterator[Loads]:
        """Yield all kinds on shared loads from the first one on."""
        if self.effort.edge_fillings and self.total <= MAX_MIXED and best > self.least:
            yield from self._after((), self.wanted, best)

    def on_strips(self, best: int) -> Iterator[Loads]:
        """Yield the same with kinds that share a load in rows on strips of their own."""
        if not self.task.room.is_rectangle:
            return
        starts: list[tuple[Loads, Mapping[str, int]]] = [((), self.wanted)]
        if self.full:
            starts.append((self.full, self.rest))
            starts.append(self._by_themselves)
        if best > self.least:
            starts.append(self._full_and_small)
        for full, left in starts:
            if sum(left.values()) > MAX_MIXED:
                continue
            for loads in self._after(full, left, best, strips=True):
                best = min(best, load_count(loads))
                yield loads

    @cached_property
    def _by_themselves(self) -> tuple[Loads, dict[str, int]]:
        """All loads but the last of each kind, laid by itself, and what is on the last ones.

        Three loads of 9 octagons may take less than two of 13, and leave room for other kinds.
        """
        full: list[Load] = []
        left = {}
        for item in self.task.items:
            left[item.piece] = item.quantity
            if not self.task.alone.get(item.piece):
                continue
            *before, last = self.task.alone[item.piece]
            if last.repeats > 1:
                before.append(replace(last, repeats=last.repeats - 1))
            full.extend(before)
            left[item.piece] = last.outlines[item.piece]
        return tuple(full), left

    @cached_property
    def _full_and_small(self) -> tuple[Loads, dict[str, int]]:
        """Full loads of each kind with smaller ones beside it, and what is left of each."""
        task = self.task
        full = {piece: flush(filling, task) for piece, filling in task.known.items()}
        return filled_up(
            task.items, full, task.room, gap=task.gap, effort=self.effort, budget=self.budget
        )

    def _after(
        self, full: Loads, left: Mapping[str, int], most: int, *, strips: bool = False
    ) -> Iterator[Loads]:
        """Yield full loads with what is left of all kinds on shared ones, where that is few enough.

        ``most`` are the loads allowed in all.
        """
        most -= load_count(full)
        if most < 0:
            return
        shared = _shared(self.task, left, self.effort, self.budget, max_loads=most, strips=strips)
        if shared is not None:
            yield (*full, *shared)


def _shared(
    task: Task,
    rest: Mapping[str, int],
    effort: Effort,
    budget: Budget,
    *,
    max_loads: int,
    strips: bool = False,
) -> list[Load] | None:
    """Return what is left of all kinds on at most so many loads; ``None`` when it does not go."""
    left = dict(rest)
    loads: list[Load] = []
    while any(left.values()):
        if len(loads) == max_loads:
            return None
        placed = one_mixed(task, left, effort, budget, strips=strips)
        if not placed:
            return None
        for each in placed:
            left[each.piece] -= 1
        loads.append(Load(tuple(each.placement for each in placed)))
    return loads
