"""Loads of a whole order on one kind of sheet: full ones of one kind, and mixtures."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np

from geometry.layout.beds.irregular_area import irregular_shares
from geometry.layout.bound import most_on_one
from geometry.layout.effort import Budget, Effort, SearchEnded, unlimited
from geometry.layout.grids.grid_loads import on_grid
from geometry.layout.item import Filling, Item
from geometry.layout.kinds.finished_loads import shortened_load
from geometry.layout.kinds.mixtures import mixtures
from geometry.layout.nesting.nester_search import fuller, worth_asking
from geometry.layout.objective import used_strip
from geometry.layout.one_kind.least_strips import least_strip, on_least_strip
from geometry.layout.one_kind.one_kind import fillings
from geometry.layout.one_kind.shared_out import least_split, splits_are_compared
from geometry.layout.orders.best_loads import BestLoads
from geometry.layout.rolls.lengths_by_count import lengths_by_count
from geometry.layout.rows.box_rows import box_shares, plain_rows
from geometry.layout.rows.row_blocks import MAX_IN_BLOCKS, row_blocks
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.stepped_rows import step_shares, stepped_rows
from geometry.layout.task import Loads, Task, flush, load_count
from geometry.model.placement import Load


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
    less_full: dict[str, Filling] = {}
    for item in task.items:
        # In a mixture the last loads are shared: how full one kind's are matters less.
        for filling in _fullest(task, item, effort, budget, item.quantity):
            if item.piece in task.known:
                less_full[item.piece] = task.known[item.piece]
            task.known[item.piece] = filling
        if len(task.known[item.piece]) < item.quantity and item.piece not in task.alone:
            task.alone[item.piece] = _alone(task, item, effort)
    yield from mixtures(task, effort, budget)
    if effort.steps == 0.0 and less_full:
        # Where a kind's own loads are a little less full, what is left may go better together.
        less = replace(task, known=task.known | less_full)
        yield from mixtures(less, effort, budget, repeated=False)


def _alone(task: Task, item: Item, effort: Effort) -> Loads:
    """Return the best loads of one kind by itself that the first stage finds."""
    own = replace(task.on(task.room), items=[item], max_loads=None)
    best = BestLoads(own)
    for loads in _one_kind(own, item, effort.first, unlimited()):
        best.keep(loads)
    return best.loads


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


def _one_kind(task: Task, item: Item, effort: Effort, budget: Budget) -> Iterator[Loads]:
    """Yield layouts of one kind: full loads, the last on the least strip."""
    strips = _Strips(task, item, effort, budget)
    if item.quantity <= most_on_one(item, task.room, task.gap):
        filling = strips.of(item.quantity)
        if filling:
            yield (Load(filling),)
            yield from _even_last(task, item, (), item.quantity)
            yield from strips.on_grid(filling)
            yield from strips.shortened(())
            return
    found = [task.known[item.piece]] if item.piece in task.known else []
    try:
        for filling in _fullest(task, item, effort, budget, _enough(item, task)):
            task.known[item.piece] = filling
            found.append(filling)
    except SearchEnded:
        # What was found before the budget was spent is kept.
        if found:
            yield from _full_and_last(task, item, found[-1], effort)
        raise
    *before, filling = found
    if not task.is_of_use(math.ceil(item.quantity / len(filling))):
        full, rest = _full_loads(task, item, filling)
        yield (*full, Load(flush(filling[:rest], task))) if rest else full
        return
    # First of all: what follows may end the search.
    yield from _full_and_last(task, item, filling, effort)
    if before:
        # A load that is not quite as full may take less of its sheet.
        yield from _full_and_last(task, item, before[-1], effort)
        full, rest = _full_loads(task, item, before[-1])
        last = strips.of(rest) if rest else ()
        if not rest or last:
            yield (*full, Load(last)) if rest else full
    full, rest = _full_loads(task, item, filling)
    if rest or _holds_more(task, item, len(filling), effort, budget):
        yield from strips.least_material(filling, load_count(full) + (rest > 0))
    if not rest:
        return
    last = strips.of(rest)
    if last:
        yield (*full, Load(last))
    yield from _even_loads(strips, item, load_count(full) + 1)
    yield from strips.shortened(full)


def _holds_more(task: Task, item: Item, count: int, effort: Effort, budget: Budget) -> bool:
    """Return whether rows hold more on a load than were enough, so that loads may be uneven."""
    how: dict[str, Any] = {"gap": task.gap, "effort": effort.first}

    def sought() -> bool:
        found = fillings(
            item,
            task.room,
            enough=min(count + 1, item.quantity),
            budget=replace(unlimited(), found=budget.found),
            **how,
        )
        return any(len(filling) > count for filling in found)

    # Every stage asks this of the same load.
    question = ("holds more", item, task.room, count, *how.values())
    return budget.found.known_or_made(question, sought)


def _full_loads(task: Task, item: Item, filling: Filling) -> tuple[Loads, int]:
    """Return the full loads of one kind, and how many pieces are left over."""
    repeats, rest = divmod(item.quantity, len(filling))
    return ((Load(flush(filling, task), repeats),) if repeats else ()), rest


def _full_and_last(task: Task, item: Item, filling: Filling, effort: Effort) -> Iterator[Loads]:
    """Yield full loads and one with what is left over, also on the strip that no steps pay for."""
    full, rest = _full_loads(task, item, filling)
    last = (Load(flush(filling[:rest], task)),) if rest else ()
    yield (*full, *last)
    full, _ = _full_loads(task, item, on_least_strip(task, item, filling, effort))
    if rest:
        last = (Load(on_least_strip(task, item, filling[:rest], effort)),)
    yield (*full, *last)
    yield from _even_last(task, item, full, rest)


def _even_last(task: Task, item: Item, full: Loads, rest: int) -> Iterator[Loads]:
    """Yield full loads and a last one in even rows, which have most edges in common."""
    if task.common_line and task.room.is_rectangle and rest:
        even = plain_rows(item, task.room, rest, task.gap)
        if even:
            yield (*full, Load(even))


def _even_loads(strips: _Strips, item: Item, count: int) -> Iterator[Loads]:
    """Yield so many loads, evenly filled: a full load's last row is seldom full."""
    even = math.ceil(item.quantity / count)
    each, short = strips.of(even), item.quantity - even * (count - 1)
    last = strips.of(short) if short > 0 else ()
    if each and last:
        yield (Load(each, count),) if short == even else (Load(each, count - 1), Load(last))


class _Strips:
    """The least strips of one kind that are known, by their number of pieces."""

    def __init__(self, task: Task, item: Item, effort: Effort, budget: Budget) -> None:
        self.task, self.item, self.effort, self.budget = task, item, effort, budget

    def of(self, count: int) -> Filling:
        """Return so many pieces on the least strip of rows; nothing where no rows hold them."""
        return least_strip(self.task, self.item, count, self.effort, self.budget)

    def on_grid(self, filling: Filling) -> Iterator[Loads]:
        """Yield the same pieces on cells of a grid, where these take a shorter strip."""
        task, wanted = self.task, {self.item.piece: len(filling)}
        share = used_strip(filling, task.outlines, task.room).share
        found = on_grid(task, wanted, self.effort, self.budget, share)
        if found:
            yield (Load(flush([each.placement for each in found], task)),)

    def least_material(self, filling: Filling, loads: int) -> Iterator[Loads]:
        """Yield so many loads whose counts of pieces take the least material together."""
        task, item = self.task, self.item
        shares, laid = self._shares()
        if len(filling) < len(shares):
            share = used_strip(filling, task.outlines, task.room).share
            if share < shares[len(filling)]:
                shares[len(filling)], laid[len(filling)] = share, lambda: filling
        split = least_split(shares, item.quantity, loads)
        if split is None:
            return
        found = [(count, laid[count](), repeats) for count, repeats in split[1]]
        if not all(strip for _, strip, _ in found):
            return
        found = [(count, flush(strip, task), repeats) for count, strip, repeats in found]
        yield tuple(Load(strip, repeats) for _, strip, repeats in found)
        yield tuple(Load(self.of(count) or strip, repeats) for count, strip, repeats in found)

    def _shares(self) -> tuple[Values, dict[int, Callable[[], Filling]]]:
        """Return the share of a sheet that every number of pieces takes, and what lays them.

        Shares are infinite where no rows hold so many, and where none are sought.
        """
        task, item, effort, budget = self.task, self.item, self.effort, self.budget
        room, gap = task.room, task.gap
        most = min(item.quantity, most_on_one(item, room, gap))
        if not room.is_rectangle:
            return irregular_shares(item, room, most, gap=gap, effort=effort, budget=budget)
        shares = box_shares(item, room, most, gap)
        laid: dict[int, Callable[[], Filling]] = {
            count: partial(plain_rows, item, room, count, gap)
            for count in range(1, most + 1)
            if shares[count] < np.inf
        }
        stepped = step_shares(item, room, most, gap, effort, budget.found)
        for count in np.flatnonzero(stepped < shares).tolist():
            shares[count] = stepped[count]
            laid[count] = partial(stepped_rows, item, room, count, gap, effort, budget.found)
        if most > MAX_IN_BLOCKS and splits_are_compared(most, math.ceil(item.quantity / most)):
            self._with_rows(shares, laid, most)
        if not effort.blocks or most > MAX_IN_BLOCKS:
            return shares, laid
        for blocks in row_blocks(item, room, most, gap=gap, effort=effort, budget=budget):
            for count in range(1, blocks.fullest + 1):
                share = float(blocks.lengths[count]) / blocks.side
                if share < shares[count]:
                    shares[count], laid[count] = share, partial(blocks.filling, count)
        return shares, laid

    def _with_rows(self, shares: Values, laid: dict[int, Callable[[], Filling]], most: int) -> None:
        """Note where rows of one pattern take less: of so many pieces no blocks are made."""
        room = self.task.room
        how: dict[str, Any] = {"effort": self.effort.first, "budget": unlimited()}
        for from_left in (False, True):
            side = room.bounds.width if from_left else room.bounds.height
            lengths = lengths_by_count(
                self.item, room, most, gap=self.task.gap, from_left=from_left, **how
            )
            for count in np.flatnonzero(lengths / side < shares).tolist():
                shares[count] = lengths[count] / side
                laid[count] = partial(self.of, count)

    def shortened(self, full: Loads) -> Iterator[Loads]:
        """Yield the loads with a last one that the nester made shorter still."""
        task, item = self.task, self.item
        rest = item.quantity - sum(len(load.placements) * load.repeats for load in full)
        for load in shortened_load(task, {item.piece: rest}, self.effort, self.budget):
            yield (*full, load)


def _enough(item: Item, task: Task) -> int:
    """Return how many pieces a load must hold for no layout to do with fewer loads."""
    most = max(1, min(most_on_one(item, task.room, task.gap), item.quantity))
    return math.ceil(item.quantity / math.ceil(item.quantity / most))
