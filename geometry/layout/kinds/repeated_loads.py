"""Loads of a few kinds in columns, most of them repeated: for more pieces than a table counts.

Full loads are taken as often as a linear program says that all take least; what is left then has a
table of its numbers, and is shared out from that exactly.

Source:
    Rounding down and solving what is left: the residual problem of one-dimensional cutting stock
    (G. Waescher and T. Gau, "Heuristics for the integer one-dimensional cutting stock problem", OR
    Spektrum 18, 1996). From memory.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, TypeAlias

import numpy as np

from geometry.layout.columns.column_direction import ColumnDirection, DirectionCover
from geometry.layout.columns.load_program import LoadPattern, LoadProgram
from geometry.layout.effort import Budget, Effort
from geometry.layout.kinds.load_shares import MAX_SHARED, loads_of_one_kind, shared_out
from geometry.layout.objective import used_strip
from geometry.layout.task import Loads, Task, flush
from geometry.model.placement import Load

#: States that the table of what is left has at most; a second, larger one is tried after it, by the
#: first stage only where loads may be fewer.
_TABLES: Final = (12_000, 30_000)
#: Ways to begin that are tried with each table, in the first stage and in later ones.
_WAYS: Final = {True: (5, 2), False: (5, 5)}
#: Steps for each state. Own measurement.
_STEPS_PER_STATE: Final = 0.01
#: Shares of a sheet above the least that parts of loads take, where no more is sought.
_ENOUGH: Final = 0.005
#: Parts of loads that are rounding.
_ROUNDING: Final = 1e-6

_Counts: TypeAlias = tuple[int, ...]


@dataclass
class _Chosen:
    """Loads that are chosen: how often each is cut, by what it holds, and what lays it."""

    repeats: Counter[_Counts] = field(default_factory=Counter)
    known: dict[_Counts, LoadPattern] = field(default_factory=dict)

    def take(self, counts: _Counts, pattern: LoadPattern) -> None:
        """Take one load of so many of each kind, as a pattern holds them that takes least."""
        self.repeats[counts] += 1
        if counts not in self.known or pattern.share < self.known[counts].share:
            self.known[counts] = pattern

    def take_of(self, pattern: LoadPattern, left: _Counts) -> _Counts:
        """Take one load of a pattern, as far as pieces are left; return what is left then."""
        counts = tuple(min(pair) for pair in zip(left, pattern.counts, strict=True))
        self.take(counts, pattern)
        return tuple(have - held for have, held in zip(left, counts, strict=True))

    @property
    def cost(self) -> tuple[int, float, int]:
        """Return how many loads there are, the shares that they take, and how many differ."""
        material = sum(self.known[each].share * often for each, often in self.repeats.items())
        return self.repeats.total(), round(material, 9), len(self.repeats)


class RepeatedLoads:
    """Loads of all that is wanted of a few kinds."""

    def __init__(
        self,
        task: Task,
        directions: Sequence[ColumnDirection],
        effort: Effort,
        budget: Budget,
    ) -> None:
        self._task, self._directions = task, directions
        self._budget, self._is_first_stage = budget, not effort.blocks
        self._ways = _WAYS[self._is_first_stage]
        self._wanted = tuple(item.quantity for item in task.items)
        self._program = LoadProgram(directions, [*self._alone(self._wanted)], budget)

    def least(self, max_loads: int) -> Iterator[Loads]:
        """Yield ever better loads, at most so many."""
        fewest = math.ceil(self._program.fewest(self._wanted) - _ROUNDING)
        best: tuple[int, float, int] | None = None
        # What whole loads need may be one more than parts of them.
        for most in range(fewest, min(fewest + 1, max_loads) + 1):
            if best is not None and best[0] < most:
                return
            for chosen in self._within(most, max_loads):
                if best is None or chosen.cost < best:
                    best = chosen.cost
                    yield self._laid(chosen)

    def _within(self, most: int, max_loads: int) -> Iterator[_Chosen]:
        """Yield loads of which parts would be at most so many."""
        repeats = self._program.least(self._wanted, float(most))
        if not repeats:
            return
        enough = (most, self._program.material(repeats) + _ENOUGH, 0)
        # One of each pattern may be taken first, also where no whole one is needed.
        patterns = [None, *_most_first(repeats)]
        seen: set[tuple[_Counts, ...]] = set()
        count = max_loads
        for number, states in enumerate(_TABLES):
            if number and self._is_first_stage and count <= most:
                return
            for first in patterns[: self._ways[number]]:
                chosen, left = self._full(first, most, states)
                taken = tuple(sorted(chosen.repeats.elements()))
                if taken in seen or math.prod(each + 1 for each in left) > states:
                    continue
                seen.add(taken)
                if self._rest_is_taken(chosen, left, max_loads - chosen.repeats.total()):
                    yield chosen
                    count = min(count, chosen.cost[0])
                    if chosen.cost <= enough:
                        return

    def _full(self, first: int | None, most: int, states: int) -> tuple[_Chosen, _Counts]:
        """Return full loads, a stated one first, and what is left: a table of so many states.

        It is more where no loads hold all.
        """
        patterns = self._program.patterns
        chosen, left = _Chosen(), self._wanted
        if first is not None:
            left = chosen.take_of(patterns[first], left)
        while not _is_little(left, most - chosen.repeats.total(), states):
            loads = float(most - chosen.repeats.total())
            # Whole loads may be one more than parts of them.
            repeats = self._program.least(left, loads) or self._program.least(left, loads + 1.0)
            if not repeats:
                break
            whole = [(at, math.floor(repeats[at] + _ROUNDING)) for at in _most_first(repeats)]
            before = left
            for at, often in whole:
                for _ in range(often):
                    if _is_little(left, most - chosen.repeats.total(), states):
                        return chosen, left
                    if any(a > b for a, b in zip(patterns[at].counts, left, strict=True)):
                        break
                    left = chosen.take_of(patterns[at], left)
            if left == before:
                # Nothing is whole: the load that most of is taken, as far as pieces are left.
                left = chosen.take_of(patterns[whole[0][0]], left)
        return chosen, left

    def _rest_is_taken(self, chosen: _Chosen, left: _Counts, max_loads: int) -> bool:
        """Take what is left on the least of at most so many loads; return whether that goes."""
        if not any(left):
            return True
        self._budget.spend(_STEPS_PER_STATE * math.prod(each + 1 for each in left))
        both = [DirectionCover.of_rest(each, left) for each in self._directions]
        shares = np.minimum(*(each.shares for each in both))
        alone: dict[_Counts, LoadPattern] = {}
        for pattern in self._alone(left):
            if pattern.share < shares[pattern.counts]:
                shares[pattern.counts], alone[pattern.counts] = pattern.share, pattern
        for counts in shared_out(shares, min(max_loads, MAX_SHARED)) or ():
            found = alone.get(counts)
            if found is None:
                cover = min(both, key=lambda each: float(each.shares[counts]))
                columns = tuple(cover.cover.columns(counts))
                share = float(shares[counts])
                found = LoadPattern(counts, share, cover.direction, columns)
            chosen.take(counts, found)
            left = tuple(a - b for a, b in zip(left, counts, strict=True))
        return not any(left)

    def _alone(self, quantities: _Counts) -> Iterator[LoadPattern]:
        """Yield the loads of one kind that are known."""
        for counts, filling in loads_of_one_kind(self._task, quantities):
            share = used_strip(filling, self._task.outlines, self._task.room).share
            yield LoadPattern(counts, share, filling=filling)

    def _laid(self, chosen: _Chosen) -> Loads:
        """Return chosen loads, the one that takes least last."""
        order = sorted(chosen.repeats, key=lambda each: (-round(chosen.known[each].share, 9), each))
        return tuple(
            Load(flush(chosen.known[each].laid(each), self._task), chosen.repeats[each])
            for each in order
        )


def _is_little(left: _Counts, loads: int, states: int) -> bool:
    """Return whether what is left can be shared out from a table of so many states."""
    return loads <= MAX_SHARED and math.prod(each + 1 for each in left) <= states


def _most_first(repeats: Mapping[int, float]) -> list[int]:
    """Return patterns, that which is repeated most first."""
    return sorted(repeats, key=lambda at: (-round(repeats[at], 6), at))
