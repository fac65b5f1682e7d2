"""Which outlines stand on a die: the fewest dies, then the fewest presses, then the fewest spares.

A die is made once and pressed many times, so an order is not spread over loads: for a number of
presses each kind needs its share on the die, rounded up, and the smallest number of presses whose
shares fit together is taken. No smaller counts do with that many presses, so spares are fewest.
Those counts then stand on the least block that is found.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace

from geometry.layout.bound import min_loads, most_on_one
from geometry.layout.dies.die_blocks import on_least_block
from geometry.layout.effort import (
    NORMAL,
    QUICK,
    Budget,
    Effort,
    Nester,
    SearchEnded,
    ShouldStop,
    effort_of,
    unlimited,
)
from geometry.layout.fitting.fit import fitting_turn
from geometry.layout.item import Item, Layout
from geometry.layout.kinds.mixed_kinds import mixed_loads
from geometry.layout.nesting.nester_search import all_on_one
from geometry.layout.offcuts import offcuts_of, used_of
from geometry.layout.one_kind.one_kind import fillings
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load, Placement
from geometry.sentences import said

_Counts = dict[str, int]
#: Larger counts that are searched for at length at each effort, and how many may fail.
_LONGER = {"quick": 1, "normal": 8, "best": 40, "seconds": 40}
_FAILURES = {"quick": 1, "normal": 1, "best": 3, "seconds": 3}


def lay_out_dies(
    items: Sequence[Item],
    room: WorkArea,
    *,
    gap: float,
    effort: str | float | Effort = "normal",
    seed: int = 0,
    should_stop: ShouldStop = None,
    per_set: Mapping[str, int] | None = None,
    nester: Nester | None = None,
) -> Layout:
    """Return one load for each die, repeated as often as it is pressed.

    Args:
        items: what is wanted; each quantity is a number of outlines over all presses.
        room: where rules may stand.
        gap: least distance between outlines, mm.
        effort: how long to search for room for one outline more.
        seed: of searches that draw lots.
        should_stop: says that the caller wants the best so far.
        per_set: outlines of each kind in a whole set, where each press is to give whole sets.
        nester: the library that is asked for one outline more.

    Raises:
        DoesNotFit: when an item is larger than the room however it may be turned.
    """
    for item in items:
        fitting_turn(item, room)
    wanted = effort if isinstance(effort, Effort) else effort_of(effort)
    # At every effort: a die is cheap to search for and expensive to make.
    steps = max(wanted.steps, NORMAL.steps)
    search = _Search(room, gap, wanted, seed, Budget(steps, should_stop, nester))
    loads: list[Load] = []
    left = sorted(items, key=lambda item: -area(item.outline))
    while left:
        together, load = _largest_group(left, search, per_set)
        placed = on_least_block(
            together,
            load.outlines,
            load.placements,
            room,
            gap=gap,
            effort=wanted,
            seed=seed,
            budget=search.budget,
        )
        loads.append(replace(load, placements=placed))
        left = [item for item in left if item not in together]
    return _layout(items, loads, search, per_set)


def _layout(
    items: Sequence[Item],
    loads: Sequence[Load],
    search: _Search,
    per_set: Mapping[str, int] | None,
) -> Layout:
    """Return the layout that dies make."""
    room, gap = search.room, search.gap
    outlines = {item.piece: item.outline for item in items}
    whole = area(room.boundary)
    offcuts = offcuts_of(loads, outlines, room, gap)
    warnings: list[str] = []
    if len(loads) > 1:
        warnings.append(
            said(
                "The pieces do not fit on one die together: {count} dies are needed.",
                count=len(loads),
            )
        )
    if per_set is not None and not all(_is_in_sets(load.outlines, per_set) for load in loads):
        warnings.append(
            said("A full set does not fit on one die: single presses give parts of sets.")
        )
    return Layout(
        loads=tuple(loads),
        complete=not search.budget.was_cut,
        warnings=tuple(warnings),
        # No die could do with fewer presses than the area of all outlines takes.
        bound=min_loads(items, room, gap),
        offcuts=offcuts,
        used=used_of(loads, outlines, room, offcuts, gap),
        most_on_one=most_on_one(items[0], room, gap) if len(items) == 1 else None,
        utilisation=tuple(
            sum(area(outlines[piece]) * count for piece, count in load.outlines.items()) / whole
            for load in loads
        ),
    )


def _is_in_sets(placed: Mapping[str, int], per_set: Mapping[str, int]) -> bool:
    shares = {placed.get(piece, 0) / count for piece, count in per_set.items()}
    return len(shares) == 1


class _Search:
    """Places counts on one die as long as its budget lasts."""

    def __init__(
        self, room: WorkArea, gap: float, effort: Effort, seed: int, budget: Budget
    ) -> None:
        self.room, self.gap, self.effort, self.seed = room, gap, effort, seed
        self.budget = budget

    def is_over(self) -> bool:
        """Return whether the budget is spent or the caller wants no more."""
        return not self.budget.try_spend(0.0)

    def may_fit(self, items: Sequence[Item], counts: Mapping[str, int]) -> bool:
        """Return whether no bound rules the counts out."""
        wanted = [replace(item, quantity=counts[item.piece]) for item in items]
        return min_loads(wanted, self.room, self.gap) == 1

    def placed(
        self, items: Sequence[Item], counts: Mapping[str, int], *, longer: bool
    ) -> tuple[Placement, ...] | None:
        """Return all outlines on one die, ``None`` where no room was found for all."""
        if not self.may_fit(items, counts):
            return None
        wanted = [replace(item, quantity=counts[item.piece]) for item in items]
        stages = [QUICK, NORMAL]
        stages += [stage for stage in self.effort.stages if stage.name not in {"quick", "normal"}]
        for stage in stages:
            found = self._at(stage, wanted, counts)
            if len(found) == sum(counts.values()):
                return tuple(found)
            if self.is_over():
                return None
        if not longer:
            return None
        room, gap, seed = self.room, self.gap, self.seed
        try:
            asked = all_on_one(
                wanted, counts, room, gap=gap, seed=seed, effort=stages[-1], budget=self.budget
            )
        except SearchEnded:
            return None
        return None if asked is None else tuple(each.placement for each in asked)

    def _at(
        self, stage: Effort, wanted: Sequence[Item], counts: Mapping[str, int]
    ) -> Sequence[Placement]:
        """Return the fullest die found; what the first stage finds is found in any case."""
        budget = unlimited() if stage is QUICK else self.budget
        best: Sequence[Placement] = ()
        room, gap = self.room, self.gap
        with suppress(SearchEnded):
            if len(wanted) == 1:
                for filling in fillings(wanted[0], room, gap=gap, effort=stage, budget=budget):
                    best = filling
            else:
                for placed in mixed_loads(
                    wanted, counts, room, gap=gap, effort=stage, budget=budget
                ):
                    best = [each.placement for each in placed]
        return best[: sum(counts.values())]


def _largest_group(
    items: Sequence[Item], search: _Search, per_set: Mapping[str, int] | None
) -> tuple[list[Item], Load]:
    """Return the kinds that one die holds, all of them where they fit, and that die."""
    whole = _one_die(items, search, per_set)
    if whole is not None:
        return list(items), whole
    # Kind by kind, large ones first: each of which one still fits beside those before.
    together = [items[0]]
    one = replace(items[0], quantity=1)
    *_, lone = fillings(one, search.room, gap=search.gap, effort=QUICK, budget=unlimited())
    placed = lone[:1]
    for item in items[1:]:
        ones = {each.piece: 1 for each in (*together, item)}
        more = None if search.is_over() else search.placed([*together, item], ones, longer=False)
        if more is not None:
            together.append(item)
            placed = more
    best = _one_die(together, search, None)
    return together, best or Load(placed, max(item.quantity for item in together))


def _one_die(
    items: Sequence[Item], search: _Search, per_set: Mapping[str, int] | None
) -> Load | None:
    """Return the die that holds every one of the kinds and needs the fewest presses found."""
    choices = [
        (presses, counts)
        for presses, counts in _choices(items, search, per_set)
        if search.may_fit(items, counts)
    ]
    found: tuple[int, Load] | None = None
    low, high = 0, len(choices)
    # The fewest presses that fit: fewer presses need more outlines on the die.
    while low < high:
        middle = (low + high) // 2
        presses, counts = choices[middle]
        placements = search.placed(items, counts, longer=False)
        if placements is not None:
            found, high = (middle, Load(placements, presses)), middle
        else:
            low = middle + 1
    start = len(choices) if found is None else found[0]
    failures = 0
    for at in range(start - 1, max(-1, start - 1 - _LONGER[search.effort.name]), -1):
        if failures == _FAILURES[search.effort.name] or search.is_over():
            break
        presses, counts = choices[at]
        placements = search.placed(items, counts, longer=True)
        if placements is not None:
            found = at, Load(placements, presses)
        else:
            failures += 1
    return None if found is None else found[1]


def _choices(
    items: Sequence[Item], search: _Search, per_set: Mapping[str, int] | None
) -> Iterator[tuple[int, _Counts]]:
    """Yield numbers of presses, the fewest first, with the counts that each needs on the die."""
    if per_set is not None:
        sets = max(math.ceil(item.quantity / per_set[item.piece]) for item in items)
        most = min(
            most_on_one(item, search.room, search.gap) // per_set[item.piece] for item in items
        )
        for each in range(min(most, sets), 0, -1):
            # Fewer sets on the die that take as many presses leave fewer spares.
            if math.ceil(sets / math.ceil(sets / each)) < each:
                continue
            counts = {item.piece: each * per_set[item.piece] for item in items}
            yield math.ceil(sets / each), counts
        return
    numbers: set[int] = set()
    for item in items:
        most = min(item.quantity, max(1, most_on_one(item, search.room, search.gap)))
        numbers.update(math.ceil(item.quantity / count) for count in range(1, most + 1))
    known: list[_Counts] = []
    for presses in sorted(numbers):
        counts = {item.piece: math.ceil(item.quantity / presses) for item in items}
        if counts not in known:
            known.append(counts)
            yield presses, counts
