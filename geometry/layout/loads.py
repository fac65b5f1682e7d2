"""Loads of a whole order on one kind of sheet: full ones of one kind, and mixtures."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from geometry.layout.bottom_left import Placed
from geometry.layout.bound import grown_area, min_loads, most_on_one, room_area
from geometry.layout.effort import Budget, Effort
from geometry.layout.fill_up import filled_up
from geometry.layout.irregular_area import irregular_strips
from geometry.layout.item import Filling, Item
from geometry.layout.mixed_kinds import mixed_loads
from geometry.layout.nester_search import all_on_one, fuller, shorter_strips, worth_asking
from geometry.layout.objective import placement_bounds
from geometry.layout.one_kind import fillings
from geometry.layout.strips import KnownStrip, row_strips
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement

#: Pieces of all kinds up to which they are also mixed from the first load on.
_MAX_MIXED = 400

Loads = tuple[Load, ...]


@dataclass
class Task:
    """What is laid out where, and what earlier stages know.

    Attributes:
        known: the fullest filling of each kind.
        strips: of rows, by the kind and the number of pieces.
        sets_on_one: whole sets that a load holds.
    """

    items: Sequence[Item]
    room: WorkArea
    gap: float
    seed: int
    known: dict[str, Filling] = field(default_factory=dict)
    strips: dict[tuple[str, int], KnownStrip] = field(default_factory=dict)
    sets_on_one: int = 0

    @property
    def outlines(self) -> Mapping[str, Outline]:
        """Outlines by piece."""
        return {item.piece: item.outline for item in self.items}

    def on(self, room: WorkArea) -> Task:
        """Return the same order on another sheet."""
        return Task(self.items, room, self.gap, self.seed)


def loads_of(task: Task, effort: Effort, budget: Budget) -> Iterator[Loads]:
    """Yield ever other loads that cut an order, each a whole one.

    Full loads of one kind first; what is left of all kinds then shares loads.

    Raises:
        DoesNotFit: when an item is larger than the room however it may be turned.
        SearchEnded: when the budget is spent.
    """
    if len(task.items) == 1:
        yield from _one_kind(task, task.items[0], effort, budget)
        return
    for item in task.items:
        # In a mixture the last loads are shared: how full one kind's are matters less.
        for filling in _fullest(task, item, effort, budget, item.quantity):
            task.known[item.piece] = filling
    yield from _mixtures(task, effort, budget)


def _fullest(
    task: Task, item: Item, effort: Effort, budget: Budget, enough: int
) -> Iterator[Filling]:
    """Yield ever fuller loads of one kind, where it is worth it with the nester's help."""
    best: Filling = task.known.get(item.piece, ())
    room, gap = task.room, task.gap
    if len(best) < enough:
        found = fillings(item, room, gap=gap, effort=effort, budget=budget, enough=enough)
        for filling in found:
            if len(filling) > len(best):
                best = filling
                yield best
    count, limit = len(best), most_on_one(item, room, gap)
    alone = len(task.items) == 1 or effort.both_directions
    if count >= enough or not alone or not worth_asking(item, count, limit, effort):
        return
    more = fuller(item, count, limit, room, gap=gap, seed=task.seed, effort=effort, budget=budget)
    for placed in more:
        yield tuple(each.placement for each in placed)


def _mixtures(task: Task, effort: Effort, budget: Budget) -> Iterator[Loads]:
    """Yield layouts of several kinds by the fullest fillings of each."""
    full, alone, rest = _by_kind(task)
    yield (*full, *alone)
    least = min_loads(task.items, task.room, task.gap)
    best = load_count([*full, *alone])
    known = (*full, *alone)
    if len(alone) > 1:
        shared = _shared(task, rest, effort, budget, max_loads=len(alone))
        if shared is not None:
            known = (*full, *shared)
            best = min(best, load_count(known))
            yield known
    if best > least:
        better = _filled_up(task, effort, budget, best)
        if better:
            best, known = load_count(better), better
            yield known
    small = sum(item.quantity for item in task.items) <= _MAX_MIXED
    if effort.edge_fillings and small and best > least:
        wanted = {item.piece: item.quantity for item in task.items}
        shared = _shared(task, wanted, effort, budget, max_loads=best)
        if shared is not None:
            if load_count(shared) < best:
                known = tuple(shared)
            yield tuple(shared)
    # The last load holds what is left: on a shorter strip more of its sheet stays whole.
    *before, last = known
    if last.repeats == 1:
        for load in shortened_load(task, last.placed, effort, budget):
            yield (*before, load)


def _by_kind(task: Task) -> tuple[list[Load], list[Load], dict[str, int]]:
    """Return the full loads of each kind, one more for what is left of it, and how much that is."""
    full: list[Load] = []
    alone: list[Load] = []
    rest: dict[str, int] = {}
    for item in task.items:
        filling = task.known[item.piece]
        repeats, rest[item.piece] = divmod(item.quantity, len(filling))
        if repeats:
            full.append(Load(flush(filling, task), repeats))
        if rest[item.piece]:
            alone.append(Load(flush(filling[: rest[item.piece]], task)))
    return full, alone, rest


def _filled_up(task: Task, effort: Effort, budget: Budget, best: int) -> Loads:
    """Return fewer loads than the best so far with small kinds beside large ones, or none."""
    room, gap = task.room, task.gap
    full = {piece: flush(filling, task) for piece, filling in task.known.items()}
    loads, rest = filled_up(task.items, full, room, gap=gap, effort=effort, budget=budget)
    most = best - 1 - load_count(loads)
    shared = _shared(task, rest, effort, budget, max_loads=most) if most >= 0 else None
    return () if shared is None else (*loads, *shared)


def load_count(loads: Sequence[Load]) -> int:
    """Return how many loads there are, repeats counted."""
    return sum(load.repeats for load in loads)


def _shared(
    task: Task, rest: Mapping[str, int], effort: Effort, budget: Budget, *, max_loads: int
) -> list[Load] | None:
    """Return what is left of all kinds on at most so many loads; ``None`` when it does not go."""
    left = dict(rest)
    loads: list[Load] = []
    while any(left.values()):
        if len(loads) == max_loads:
            return None
        placed = one_mixed(task, left, effort, budget)
        if not placed:
            return None
        for each in placed:
            left[each.piece] -= 1
        loads.append(Load(tuple(each.placement for each in placed)))
    return loads


def one_mixed(
    task: Task, wanted: Mapping[str, int], effort: Effort, budget: Budget
) -> list[Placed]:
    """Return one load of a mixture, as full as was found."""
    room, gap, placed = task.room, task.gap, []
    for better in mixed_loads(task.items, wanted, room, gap=gap, effort=effort, budget=budget):
        placed = better
    if len(placed) == sum(wanted.values()) or not effort.both_directions:
        return placed
    taken_up = sum(grown_area(item.outline, gap) * wanted[item.piece] for item in task.items)
    if taken_up > room_area(room, gap):
        return placed
    seed = task.seed
    found = all_on_one(task.items, wanted, room, gap=gap, seed=seed, effort=effort, budget=budget)
    return found or placed


def _one_kind(task: Task, item: Item, effort: Effort, budget: Budget) -> Iterator[Loads]:
    """Yield layouts of one kind: full loads, the last on the least strip."""
    strips = _Strips(task, item, effort, budget)
    if item.quantity <= most_on_one(item, task.room, task.gap):
        filling = strips.of(item.quantity)
        if filling:
            yield (Load(filling),)
            yield from strips.shortened(())
            return
    found = [task.known[item.piece]] if item.piece in task.known else []
    for filling in _fullest(task, item, effort, budget, _enough(item, task)):
        task.known[item.piece] = filling
        found.append(filling)
    *before, filling = found
    if before:
        # A load that is not quite as full may take less of its sheet.
        full, rest = _full_loads(task, item, before[-1])
        last = strips.of(rest) if rest else ()
        if not rest or last:
            yield (*full, Load(last)) if rest else full
    full, rest = _full_loads(task, item, filling)
    if not rest:
        yield full
        return
    yield (*full, Load(flush(filling[:rest], task)))
    last = strips.of(rest)
    if last:
        yield (*full, Load(last))
    # As few loads, evenly filled, may take less: a full load's last row is seldom full.
    count = load_count(full) + 1
    even = math.ceil(item.quantity / count)
    each, short = strips.of(even), item.quantity - even * (count - 1)
    last = strips.of(short) if short > 0 else ()
    if each and last:
        yield (Load(each, count),) if short == even else (Load(each, count - 1), Load(last))
    yield from strips.shortened(full)


def _full_loads(task: Task, item: Item, filling: Filling) -> tuple[Loads, int]:
    """Return the full loads of one kind, and how many pieces are left over."""
    repeats, rest = divmod(item.quantity, len(filling))
    return ((Load(flush(filling, task), repeats),) if repeats else ()), rest


class _Strips:
    """The least strips of one kind that are known, by their number of pieces."""

    def __init__(self, task: Task, item: Item, effort: Effort, budget: Budget) -> None:
        self.task, self.item, self.effort, self.budget = task, item, effort, budget

    def of(self, count: int) -> Filling:
        """Return so many pieces on the least strip of rows; nothing where no rows hold them."""
        task, item, gap = self.task, self.item, self.task.gap
        best: Filling = ()
        effort, budget = self.effort, self.budget
        if not task.room.is_rectangle:
            for placed in irregular_strips(
                item, task.room, count, gap=gap, effort=effort, budget=budget
            ):
                best = tuple(each.placement for each in placed)
            return best
        known = task.strips.setdefault((item.piece, count), KnownStrip())
        for _ in row_strips(
            item, task.room, count, gap=gap, effort=effort, budget=budget, known=known
        ):
            pass
        return flush(known.filling, task) if known.filling else ()

    def shortened(self, full: Loads) -> Iterator[Loads]:
        """Yield the loads with a last one that the nester made shorter still."""
        task, item = self.task, self.item
        rest = item.quantity - sum(len(load.placements) * load.repeats for load in full)
        for load in shortened_load(task, {item.piece: rest}, self.effort, self.budget):
            yield (*full, load)


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


def _enough(item: Item, task: Task) -> int:
    """Return how many pieces a load must hold for no layout to do with fewer loads."""
    most = max(1, min(most_on_one(item, task.room, task.gap), item.quantity))
    return math.ceil(item.quantity / math.ceil(item.quantity / most))


def flush(placements: Sequence[Placement], task: Task) -> Filling:
    """Return the placements moved together into the lower left corner of a rectangle."""
    if not task.room.is_rectangle:
        return tuple(placements)
    used, whole = placement_bounds(placements, task.outlines), task.room.bounds
    dx, dy = whole.left - used.left, whole.bottom - used.bottom
    return tuple(
        replace(each, move=replace(each.move, x=each.move.x + dx, y=each.move.y + dy))
        for each in placements
    )
