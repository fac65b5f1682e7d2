"""Loads of a few kinds in columns that stand or lie, shared out so that all take least material.

What a load's columns take is known for every number of pieces of each kind, so the loads are chosen
together: a full one may hold less than it could, where the last one is so much shorter.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.layout.column_cover import ColumnPatterns, Cover, are_few
from geometry.layout.effort import Budget, Effort
from geometry.layout.item import Filling, Item
from geometry.layout.kind_columns import KindColumns
from geometry.layout.objective import used_strip
from geometry.layout.one_mixed import blocks_of
from geometry.layout.row_figures import Values
from geometry.layout.row_laying import SLACK
from geometry.layout.task import Loads, Task, flush
from geometry.model.placement import Load, shifted

#: Steps for the columns of an order, and for each state. Own measurement.
_STEPS: Final = 30.0
_STEPS_PER_STATE: Final = 0.05
#: Loads above which nothing is sought.
_MAX_LOADS: Final = 8


@dataclass
class _Direction:
    """Columns in one direction: what each load takes, and what lays it.

    Attributes:
        shares: of the sheet, for numbers of each kind.
    """

    kinds: Sequence[KindColumns]
    cover: Cover
    shares: Values

    @classmethod
    def of(cls, kinds: Sequence[KindColumns], quantities: Sequence[int]) -> _Direction:
        """Return the columns of kinds in the direction of these."""
        first = kinds[0]
        box, gap = first.room.bounds, first.gap
        length, height = (box.width, box.height) if first.from_left else (box.height, box.width)
        found = {round(width, 7) for each in kinds for width in each.widths()}
        widths = [width for width in sorted(found) if width <= length + gap + SLACK]
        for each in kinds:
            each.measure(widths)
        columns = [(width, [each.heights(width) for each in kinds]) for width in widths]
        cover = Cover(ColumnPatterns.of(columns, height + gap), quantities, length + gap)
        return cls(kinds, cover, (cover.lengths - gap) / length)

    def filling(self, counts: Sequence[int]) -> Filling:
        """Return the columns that hold numbers of each kind."""
        placed: Filling = ()
        start = 0.0
        for width, held in self.cover.columns(counts):
            up = 0.0
            for each, count in zip(self.kinds, held, strict=True):
                if count:
                    move = (start, up) if each.from_left else (up, start)
                    placed += shifted(each.filling(width, count), *move)
                    up += float(each.heights(width)[count])
            start += width
        return placed


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

    def laid(counts: tuple[int, ...]) -> Filling:
        if counts in alone:
            return flush(alone[counts], task)
        return flush(min(both, key=lambda each: each.shares[counts]).filling(counts), task)

    loads = [(shares[counts], counts, repeats) for counts, repeats in Counter(found).items()]
    # The last load is the one that takes least.
    loads.sort(key=lambda each: (-round(float(each[0]), 9), each[1:]))
    yield tuple(Load(laid(counts), repeats) for _, counts, repeats in loads)


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
