"""Pieces on a roll as the nester lays them by itself, in both of its phases.

The first phase, exploration, finds ever shorter layouts until it finds one only now and then. From
there the second one, compression, saves more in the same time: it shortens what was found by ever
smaller steps. Published strips of garments, laid for 120 s each, become up to 2 % shorter if the
first phase ends there, not after four fifths of the time as when the library is left alone. But
pieces with few directions of edges lie edge to edge, and get shorter by jumps that the first phase
alone finds: there it goes on until it ends by itself. Own measurement.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from geometry.layout.effort import Budget
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.fitting.holding_polygons import holding_polygon
from geometry.layout.item import Item
from geometry.layout.nesting.nester import (
    LONGEST,
    STEPS_PER_PIECE,
    STEPS_TO_START,
    last_sound,
    length_of,
    placed_of,
    question_of,
)
from geometry.model.cutter import WorkArea

#: Steps for each report of the first phase, and for each attempt that failed, before which it
#: reports little. Own measurement: of 25 to 99 pieces.
_PER_REPORT, _PER_FAILURE = 6.0, 4000.0
#: The same for a failure of the second phase, and more for each corner of all pieces. Own
#: measurement.
_PER_FAILED_COMPRESSION, _PER_CORNER = 800.0, 2.0
#: Failures of the second phase one behind the other that end it where there are steps for another
#: seed: more seldom lead anywhere. Own measurement.
_FAILURES = 8
#: Shares of the steps: that the first phase takes, and in which it found nothing, so that it ends
#: once so many are paid.
_FIRST_PHASE, _VAIN, _LEAST = 0.6, 0.12, 0.25
#: Share of all edges' length in the four most usual directions, each so many degrees wide, from
#: which on pieces lie edge to edge.
_FEW_DIRECTIONS, _USUAL, _WIDE_DEG = 0.78, 4, 1.0
_HALF_TURN = 180.0
#: Steps below which the first phase goes on to the end: they are those of a request that is
#: answered at once, in which nobody can wait for the library's clock.
_FEW_STEPS = 25_000.0
#: Steps and seconds that do not end the first phase.
_ENDLESS = {"steps": 1e12, "least": 1e12, "seconds": LONGEST}
#: Seconds that a step is thought to take. If it takes longer, the question is asked again with more
#: time; if not, this process waits.
_SECONDS_PER_STEP = 2.4e-3
#: Questions after which what was found stands: the machine is too uneven.
_MOST_ASKED = 8


def compressed(
    items: Sequence[Item],
    room: WorkArea,
    *,
    gap: float,
    seed: int,
    budget: Budget,
    steps: float,
) -> Iterator[list[Placed]]:
    """Yield everything on ever less of a roll.

    A layout is yielded when an attempt to shorten it failed, and at the end; those between only
    lead there. It ends when the library does, whose steps have become too small by then.

    Args:
        items: the kinds, all of each.
        room: a roll.
        gap: least distance, mm.
        seed: of its random numbers.
        budget: has the library, and pays for its steps.
        steps: that may be spent.
    """
    if budget.nester is None:
        return
    run = _Run(items, room, gap, budget, steps)
    asked = {
        **question_of(run.kinds, run.wanted, room, gap, seed, math.inf),
        "first_phase": run.first_phase,
    }
    budget.spend(STEPS_TO_START)
    before = budget.left
    for _ in range(_MOST_ASKED):
        # What was asked before with another time ends with the same lines: they are paid once.
        budget.left, run.is_again = before, False
        with budget.nester(asked, budget.is_cut) as lines:
            yield from run.of(lines, before - steps)
        if not run.is_again:
            return
    # Another time the machine may be more even.
    budget.was_cut = True


@dataclass
class _Run:
    """One question to the library, which may have to be asked with more time.

    Attributes:
        is_again: whether the question has to be asked again, with another time.
        shortest: length of the shortest layout that was yielded, mm.
    """

    items: Sequence[Item]
    room: WorkArea
    gap: float
    budget: Budget
    steps: float
    is_again: bool = False
    shortest: float = math.inf
    _found: list[list[Placed]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.kinds = {item.piece: item for item in self.items}
        self.wanted = {item.piece: item.quantity for item in self.items}
        self.count = sum(self.wanted.values())
        self.per_line = _PER_REPORT + STEPS_PER_PIECE * self.count
        corners = sum(len(holding_polygon(x.outline)) * x.quantity for x in self.items)
        self.per_failed_compression = _PER_FAILED_COMPRESSION + _PER_CORNER * corners
        first = _FIRST_PHASE * self.steps
        self.first_phase: dict[str, Any] = {
            "steps": first,
            "least": _LEAST * self.steps,
            "vain": _VAIN * self.steps,
            "seconds": math.ceil(_SECONDS_PER_STEP * first),
            "per_line": self.per_line,
            "per_failure": _PER_FAILURE,
        }
        if self.steps < _FEW_STEPS or lie_edge_to_edge(self.items):
            self.first_phase |= _ENDLESS

    def of(self, lines: Iterator[Mapping[str, Any] | None], end: float) -> Iterator[list[Placed]]:
        """Yield layouts from the library's lines until ``end`` steps are left."""
        budget, begin = self.budget, self.budget.left
        is_compressing, failures = False, 0
        self._found.clear()
        for line in lines:
            if line is None:
                break
            if "again" in line:
                self.first_phase["seconds"], self.is_again = line["again"], True
                return
            is_compressing = is_compressing or "compressing" in line
            cost = self._cost(line, is_compressing=is_compressing)
            # The last attempt is given up in the midst of it.
            if not budget.try_spend(min(cost, budget.left - end)) or budget.left <= end:
                break
            if "placed" in line:
                failures = 0
                self._found.append(placed_of(line["placed"], self.kinds, self.room))
            elif "failed" in line:
                failures += 1
                yield from self._newest()
            is_stuck = is_compressing and failures >= _FAILURES
            if "done" in line or (is_stuck and begin - budget.left <= budget.left - end):
                break
        else:
            # The process died before it was done: another time it may not.
            budget.was_cut = True
        yield from self._newest()

    def _cost(self, line: Mapping[str, Any], *, is_compressing: bool) -> float:
        """Return the steps of what the library reports."""
        if "done" in line:
            # It does not report what its second phase tried in vain before it found anything.
            return 0.0 if is_compressing else _FAILURES * self.per_failed_compression
        if "failed" in line:
            return self.per_line + (self.per_failed_compression if is_compressing else _PER_FAILURE)
        return 0.0 if "compressing" in line else self.per_line

    def _newest(self) -> Iterator[list[Placed]]:
        """Yield the shortest layout since the last time, if it is the shortest of all."""
        newest = last_sound(self._found, self.count, self.room, self.gap)
        self._found.clear()
        if newest is None:
            return
        if length_of(newest) < self.shortest:
            self.shortest = length_of(newest)
            yield newest


def lie_edge_to_edge(items: Sequence[Item]) -> bool:
    """Return whether most edges of all pieces have one of a few directions."""
    lengths: dict[int, float] = {}
    for item in items:
        points = holding_polygon(item.outline)
        for (x, y), (next_x, next_y) in zip(points, np.roll(points, -1, axis=0), strict=True):
            turn = math.degrees(math.atan2(next_y - y, next_x - x)) % _HALF_TURN
            at = round(turn / _WIDE_DEG) % round(_HALF_TURN / _WIDE_DEG)
            length = math.hypot(next_x - x, next_y - y) * item.quantity
            lengths[at] = lengths.get(at, 0.0) + length
    usual = sorted(lengths.values(), reverse=True)[:_USUAL]
    return sum(usual) >= _FEW_DIRECTIONS * sum(lengths.values())
