"""Loads of a few kinds in columns that stand or lie, shared out so that all take least material.

What a load's columns take is known for every number of pieces of each kind, so the loads are chosen
together: a full one may hold less than it could, where the last one is so much shorter.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.layout.columns.column_cover import ColumnPatterns, Cover, are_few
from geometry.layout.columns.column_lanes import Lanes
from geometry.layout.columns.kind_columns import KindColumns
from geometry.layout.effort import Budget, Effort
from geometry.layout.item import Filling, Item
from geometry.layout.kinds.one_mixed import blocks_of
from geometry.layout.objective import used_strip
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.task import Loads, Task, flush
from geometry.model.placement import Load, shifted

#: Steps for the columns of an order, and for each state. Own measurement.
_STEPS: Final = 30.0
_STEPS_PER_STATE: Final = 0.05
#: Numbers of pieces of each kind above which no lanes are sought.
_MAX_IN_LANES: Final = 1_500
#: Steps for lanes of one height. Own measurement.
_STEPS_PER_LANES: Final = 10.0
#: Loads above which nothing is sought.
_MAX_LOADS: Final = 8


@dataclass
class _Direction:
    """Columns in one direction: what each load takes, and what lays it.

    Attributes:
        kinds: in columns of that direction.
        columns: the width of each, and the heights of each kind in it.
        cover: the least lengths of columns.
        length: of the sheet along the columns, with a gap, mm.
        height: of all columns, with a gap, mm.
    """

    kinds: Sequence[KindColumns]
    columns: Sequence[tuple[float, Sequence[Values]]]
    cover: Cover
    length: float
    height: float

    @classmethod
    def of(cls, kinds: Sequence[KindColumns], quantities: Sequence[int]) -> _Direction:
        """Return the columns of kinds in the direction of these."""
        first = kinds[0]
        box, gap = first.room.bounds, first.gap
        sides = (box.width, box.height) if first.from_left else (box.height, box.width)
        length, height = (side + gap for side in sides)
        found = {round(width, 7) for each in kinds for width in each.widths()}
        widths = [width for width in sorted(found) if width <= length + SLACK]
        for each in kinds:
            each.measure(widths)
        columns = [(width, [each.heights(width) for each in kinds]) for width in widths]
        cover = Cover(ColumnPatterns.of(columns, height), quantities, length)
        return cls(kinds, columns, cover, length, height)

    @property
    def shares(self) -> Values:
        """The share of the sheet that columns take, for numbers of each kind."""
        gap = self.kinds[0].gap
        shares: Values = (self.cover.lengths - gap) / (self.length - gap)
        return shares

    def filling(self, counts: Sequence[int]) -> Filling:
        """Return the columns that hold numbers of each kind."""
        return self._placed(self.cover, counts, 0.0, 0.0)[0]

    def in_lanes(
        self, counts: Sequence[int], share: float, budget: Budget
    ) -> tuple[float, Filling]:
        """Return a shorter strip than a share of the sheet, with two lanes before the columns.

        Nothing where there is none; with it the share that it takes.
        """
        best: Lanes | None = None
        gap = self.kinds[0].gap
        quantities = [each.item.quantity for each in self.kinds]
        lowest = {round(low, 7) for each in self.kinds for low in each.lane_heights()}
        for low in sorted(each for each in lowest if each < self.height):
            budget.spend(_STEPS_PER_LANES)
            lanes = Lanes(self.columns, self.cover, quantities, low, self.height, self.length)
            found = (lanes.length(counts) - gap) / (self.length - gap)
            if found < share - SLACK:
                share, best = found, lanes
        if best is None:
            return share, ()
        lower, upper, after = best.parts(counts)
        one, first_end = self._placed(best.lower, lower, 0.0, 0.0)
        other, second_end = self._placed(best.upper, upper, 0.0, best.lower_height)
        rest, _ = self._placed(self.cover, after, max(first_end, second_end), 0.0)
        return share, (*one, *other, *rest)

    def _placed(
        self, cover: Cover, counts: Sequence[int], start: float, bottom: float
    ) -> tuple[Filling, float]:
        """Return columns from a place on, and where they end."""
        placed: Filling = ()
        for width, held in cover.columns(counts):
            up = bottom
            for each, count in zip(self.kinds, held, strict=True):
                if count:
                    move = (start, up) if each.from_left else (up, start)
                    placed += shifted(each.filling(width, count), *move)
                    up += float(each.heights(width)[count])
            start += width
        return placed, start


def loads_in_columns(
    task: Task, wanted: Mapping[str, int], effort: Effort, budget: Budget, max_loads: int
) -> Iterator[Loads]:
    """Yield all that is wanted on as few loads as columns need, and on least material."""
    here = [item for item in task.items if wanted.get(item.piece)]
    quantities = [wanted[item.piece] for item in here]
    if not task.room.is_rectangle or not are_few(quantities):
        return
    budget.spend(_STEPS + _STEPS_PER_STATE * math.prod(each + 1 for each in quantities))
    rows = [[] if item.fills_its_box else blocks_of(task, item, effort, budget) for item in here]
    both = [
        _Direction.of(
            [
                KindColumns(item, blocks, task.room, task.gap, from_left, effort.blocks > 0)
                for item, blocks in zip(here, rows, strict=True)
            ],
            quantities,
        )
        for from_left in (True, False)
    ]
    shares = np.minimum(*(each.shares for each in both))
    alone: dict[tuple[int, ...], Filling] = {}
    for counts, filling in _alone(task, here, quantities):
        share = used_strip(filling, task.outlines, task.room).share
        if share < shares[counts] - SLACK:
            shares[counts], alone[counts] = share, filling
    found = _shared_out(shares, min(max_loads, _MAX_LOADS))
    if found is None:
        return

    known = {counts: float(shares[counts]) for counts in found}
    yield _loads(found, known, alone, both, task)
    if effort.blocks and shares.size <= _MAX_IN_LANES:
        # Each load once more with two lanes: a table of all numbers in lanes would take long.
        for counts, each in product(known, both):
            share, filling = each.in_lanes(counts, known[counts], budget)
            if filling:
                known[counts], alone[counts] = share, filling
        if any(share < shares[counts] for counts, share in known.items()):
            yield _loads(found, known, alone, both, task)


def _loads(
    found: Sequence[tuple[int, ...]],
    known: Mapping[tuple[int, ...], float],
    other: Mapping[tuple[int, ...], Filling],
    both: Sequence[_Direction],
    task: Task,
) -> Loads:
    """Return loads of what each holds, the one that takes least last."""

    def laid(counts: tuple[int, ...]) -> Filling:
        if counts in other:
            return flush(other[counts], task)
        return flush(min(both, key=lambda each: each.shares[counts]).filling(counts), task)

    loads = [
        (-round(known[counts], 9), counts, repeats) for counts, repeats in Counter(found).items()
    ]
    return tuple(Load(laid(counts), repeats) for _, counts, repeats in sorted(loads))


def _alone(
    task: Task, kinds: Sequence[Item], quantities: Sequence[int]
) -> Iterator[tuple[tuple[int, ...], Filling]]:
    """Yield the loads of one kind that are known, with how many of each kind they hold."""
    for at, item in enumerate(kinds):
        fillings = [
            known.filling for (piece, _), known in task.strips.items() if piece == item.piece
        ]
        for filling in (task.known.get(item.piece, ()), *fillings):
            if 0 < len(filling) <= quantities[at]:
                yield (
                    tuple(len(filling) if at == each else 0 for each in range(len(kinds))),
                    filling,
                )


def _shared_out(shares: Values, max_loads: int) -> list[tuple[int, ...]] | None:
    """Return what each of the fewest loads holds so that their shares add up to the least."""
    one = np.where(shares <= 1.0 + SLACK, shares, np.inf)
    holds = np.argwhere(np.isfinite(one) & (one > 0.0))
    sums = [one]
    if np.isfinite(one.flat[-1]):
        return [tuple(each - 1 for each in one.shape)]
    for _ in range(max_loads - 1):
        last = _last_loads(one, sums, holds)
        if last is not None:
            return last
        least = np.full(one.shape, np.inf)
        for counts in holds:
            after = tuple(slice(int(each), None) for each in counts)
            before = tuple(
                slice(None, size - int(each)) for each, size in zip(counts, one.shape, strict=True)
            )
            np.minimum(least[after], sums[-1][before] + one[tuple(counts)], out=least[after])
        sums.append(least)
    return None


def _last_loads(
    one: Values, sums: Sequence[Values], holds: NDArray[np.int64]
) -> list[tuple[int, ...]] | None:
    """Return what one load more holds than the sums are of, and all others; ``None`` if too few."""
    left = np.array(one.shape) - 1
    found = []
    for before in reversed(sums):
        fits = holds[(holds <= left).all(axis=1)]
        shares = one[tuple(fits.T)] + before[tuple((left - fits).T)]
        if not np.isfinite(shares).any():
            return None
        counts = fits[int(shares.round(9).argmin())]
        found.append(tuple(counts.tolist()))
        left = left - counts
    return [*found, tuple(left.tolist())]
