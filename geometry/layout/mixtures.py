"""Loads of several kinds: full ones of each, and what is left of all on loads that they share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property, partial
from itertools import product

from geometry.layout.bottom_left import Placed, Side
from geometry.layout.bound import grown_area, min_loads, most_on_one, room_area
from geometry.layout.effort import Budget, Effort
from geometry.layout.fill_up import filled_up
from geometry.layout.grid_and_rows import grid_and_rows
from geometry.layout.grid_loads import on_grid
from geometry.layout.item import Item
from geometry.layout.kind_strips import kind_strips
from geometry.layout.kinds_beside import LowStrips
from geometry.layout.mixed_kinds import mixed_loads, orders_of
from geometry.layout.nester_search import all_on_one, shorter_strips
from geometry.layout.objective import Score, is_better, score, used_strip
from geometry.layout.row_blocks import RowBlocks, row_blocks
from geometry.layout.task import Loads, Task, flush, load_count
from geometry.measure import area
from geometry.model.placement import Load

#: Pieces of all kinds up to which they are also mixed from the first load on.
_MAX_MIXED = 400
#: Orders of kinds that are tried in strips: the largest first, the longest first.
_STRIP_ORDERS = 2
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
        for piece, quantity in self.wanted.items():
            filling = task.known[piece]
            repeats, self.rest[piece] = divmod(quantity, len(filling))
            if repeats:
                self.full += (Load(flush(filling, task), repeats),)
            if self.rest[piece]:
                self.alone += (Load(flush(filling[: self.rest[piece]], task)),)

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
        if not self.effort.blocks or not self.task.room.is_rectangle or self.total > _MAX_MIXED:
            return
        starts: list[tuple[Loads, Mapping[str, int]]] = [((), self.wanted)]
        if self.full:
            starts.append((self.full, self.rest))
        if best > self.least:
            starts.append(self._full_and_small)
        for full, left in starts:
            for loads in self._after(full, left, best, strips=True):
                best = min(best, load_count(loads))
                yield loads

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
    known = {item.piece: _blocks(task, item, effort, budget) for item in here}
    for order in orders_of(here, wanted, effort)[:_STRIP_ORDERS]:
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


def _blocks(task: Task, item: Item, effort: Effort, budget: Budget) -> list[RowBlocks]:
    """Return the blocks of rows of a kind, made once for each effort."""
    key = (item.piece, effort.name)
    if key not in task.blocks:
        most = min(item.quantity, most_on_one(item, task.room, task.gap))
        task.blocks[key] = row_blocks(
            item, task.room, most, gap=task.gap, effort=effort, budget=budget
        )
    return task.blocks[key]


def _beside(task: Task, last: Load, effort: Effort, budget: Budget) -> Iterator[Load]:
    """Yield a load of several kinds on lower strips, its kinds side by side or between rows."""
    wanted, room = last.outlines, task.room
    here = [item for item in task.items if wanted.get(item.piece)]
    if last.repeats > 1 or len(here) < 2 or not effort.blocks or not room.is_rectangle:  # noqa: PLR2004
        return
    if sum(wanted.values()) > _MAX_MIXED:
        return
    share = used_strip(last.placements, task.outlines, room).share
    known = {item.piece: _blocks(task, item, effort, budget) for item in here}
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
    ways = list(product(orders_of(here, wanted, effort)[:_STRIP_ORDERS], *_PUT))
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
