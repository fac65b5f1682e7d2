"""Loads of several kinds: full ones of each, and what is left of all on loads that they share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cached_property, partial
from itertools import product

from geometry.layout.bottom_left import Side
from geometry.layout.bound import min_loads
from geometry.layout.effort import Budget, Effort
from geometry.layout.fill_up import filled_up
from geometry.layout.grid_and_rows import grid_and_rows
from geometry.layout.grid_loads import on_grid
from geometry.layout.kinds_beside import LowStrips
from geometry.layout.least_strips import on_least_strip
from geometry.layout.mixed_kinds import orders_of
from geometry.layout.nester_search import shorter_strips
from geometry.layout.objective import Score, is_better, score, used_strip
from geometry.layout.one_mixed import STRIP_ORDERS, blocks_of, one_mixed
from geometry.layout.task import Loads, Task, flush, load_count
from geometry.layout.turned_blocks import turned_to_meet
from geometry.model.placement import Load

#: Pieces of all kinds up to which they are also mixed from the first load on.
_MAX_MIXED = 400
#: Sides that pieces between rows are put against, and whether the last turns are taken.
_PUT = ((Side.LEFT, Side.BOTTOM), (False, True))


def mixtures(task: Task, effort: Effort, budget: Budget) -> Iterator[Loads]:
    """Yield layouts of several kinds by the fullest fillings of each."""
    search = _Search(task, effort, budget)
    known = (*search.full, *search.alone)
    yield known
    for step in (search.rest_shared, search.filled_up, search.all_shared, search.on_strips):
        for loads in step(load_count(known)):
            if is_better(_score(task, loads), _score(task, known)):
                known = loads
            yield loads
    known = tuple(_on_least_strip(task, load, effort) for load in known)
    yield known
    # The last load holds what is left: on a shorter strip more of its sheet stays whole.
    *before, last = known
    share = used_strip(last.placements, task.outlines, task.room).share
    gridded = on_grid(task, last.outlines, effort, budget, share) if last.repeats == 1 else []
    if gridded:
        yield (*before, Load(flush([each.placement for each in gridded], task)))
    for load in _beside(task, last, effort, budget):
        last = load
        yield (*before, load)
    if last.repeats == 1:
        for load in shortened_load(task, last.outlines, effort, budget):
            yield (*before, load)


def _on_least_strip(task: Task, load: Load, effort: Effort) -> Load:
    """Return a load, of one kind on the least strip of its rows; of several edge to edge."""
    kinds = [item for item in task.items if item.piece in load.outlines]
    if len(kinds) > 1:
        return replace(load, placements=turned_to_meet(task, load.placements))
    return replace(load, placements=on_least_strip(task, kinds[0], load.placements, effort))


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
        if self.effort.edge_fillings and self.total <= _MAX_MIXED and best > self.least:
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
            if sum(left.values()) > _MAX_MIXED:
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


def _beside(task: Task, last: Load, effort: Effort, budget: Budget) -> Iterator[Load]:
    """Yield a load of several kinds on lower strips, its kinds side by side or between rows."""
    wanted, room = last.outlines, task.room
    here = [item for item in task.items if wanted.get(item.piece)]
    if last.repeats > 1 or len(here) < 2 or not effort.blocks or not room.is_rectangle:  # noqa: PLR2004
        return
    if sum(wanted.values()) > _MAX_MIXED:
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
