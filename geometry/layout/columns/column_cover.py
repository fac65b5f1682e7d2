"""The least length of columns that hold any numbers of pieces of a few kinds, exactly.

A column has a width, and holds of each kind as many pieces as the heights of their stacks let it.

Source:
    Two-stage cutting patterns, strips first and then pieces in them: P. C. Gilmore and R. E.
    Gomory, "Multistage cutting stock problems of two and more dimensions", Operations Research 13
    (1965). From memory. There patterns are priced; here counts are small enough for a table.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK

Counts = NDArray[np.int64]

#: Kinds, and numbers of pieces of each, above which no table is made.
MAX_KINDS: Final = 3
_MAX_STATES: Final = 60_000
#: Lengths are compared in millionths of mm; what is longer than any.
_MICRO: Final = 1.0e6
_NEVER: Final = 1 << 60
#: States with a pattern each that are looked at together.
_CELLS: Final = 1 << 18


def are_few(quantities: Sequence[int]) -> bool:
    """Return whether a table of every number of pieces of each kind stays small."""
    states = math.prod(each + 1 for each in quantities)
    return 1 < len(quantities) <= MAX_KINDS and states <= _MAX_STATES


@dataclass(frozen=True, eq=False)
class ColumnPatterns:
    """What columns may hold: a line of counts for each, and its width with the gap, mm."""

    counts: Counts
    widths: Values

    @classmethod
    def of(cls, columns: Sequence[tuple[float, Sequence[Values]]], height: float) -> ColumnPatterns:
        """Return the fullest ways to fill columns of a height, none that a narrower one holds.

        Args:
            columns: the width of each, and of each kind the heights that 0, 1, 2 ... pieces take.
            height: of all columns, the gap added.
        """
        counts, widths = [], []
        for width, heights in columns:
            for found in _filled(heights, height):
                counts.append(found)
                widths.append(np.full(len(found), width))
        if not counts:
            return cls(np.zeros((0, 0), dtype=np.int64), np.zeros(0))
        return cls(np.concatenate(counts), np.concatenate(widths)).fullest()

    def fullest(self) -> ColumnPatterns:
        """Return the patterns that no narrower one holds as well."""
        rounded = np.round(self.widths, 6)
        order = np.lexsort((-self.counts.sum(axis=1), rounded))
        order = order[self.counts[order].sum(axis=1) > 0]
        if not len(order):
            return ColumnPatterns(self.counts[order], self.widths[order])
        # Of one kind alone there is another one of which none are held.
        counts, rounded = np.pad(self.counts[order], ((0, 0), (1, 0))), rounded[order]
        # Of as many of all kinds but the last, or more, the most of the last that is held so far.
        most = np.full([int(each) + 2 for each in counts[:, :-1].max(axis=0)], -1, dtype=np.int64)
        kept = np.zeros(len(counts), dtype=bool)
        starts = np.flatnonzero(np.diff(rounded, prepend=-1.0))
        for these in np.split(np.arange(len(counts)), starts[1:]):
            kept[these] = _held_by_none(counts[these], most)
        return ColumnPatterns(self.counts[order[kept]], self.widths[order[kept]])


def _held_by_none(counts: Counts, most: Counts) -> NDArray[np.bool_]:
    """Return which patterns of one width are held by no other one, and no narrower one.

    ``most`` says of all narrower ones, for counts of all kinds but the last, how many of the last
    any holds beside as many or more; it is made to say so of these too.
    """
    places, last = tuple(counts[:, :-1].T), counts[:, -1]
    kept: NDArray[np.bool_] = last > most[places]
    np.maximum.at(most, places, last)
    kept &= last == most[places]
    for axis in range(most.ndim):
        most[...] = np.flip(np.maximum.accumulate(np.flip(most, axis), axis=axis), axis)
    for axis in range(most.ndim):
        more = [each + (at == axis) for at, each in enumerate(places)]
        kept &= last > most[tuple(more)]
    # Of those that are alike the first one.
    alike = np.zeros(len(counts), dtype=bool)
    alike[np.unique(counts, axis=0, return_index=True)[1]] = True
    return kept & alike


def _filled(heights: Sequence[Values], height: float) -> Iterator[Counts]:
    """Yield the counts of each kind that fill a height, none of which may be one more."""
    *others, last = heights
    shape = tuple(len(each) for each in others)
    taken = np.zeros(shape)
    for axis, each in enumerate(others):
        taken = taken + each.reshape([-1 if axis == at else 1 for at in range(len(others))])
    left = height + SLACK - taken
    most = np.searchsorted(last, left, side="right") - 1
    keep = left >= 0.0
    for axis in range(len(others)):
        # As many of the last kind beside one more of another.
        more = np.full(shape, -1)
        ahead = [slice(None)] * len(others)
        here = [slice(None)] * len(others)
        ahead[axis], here[axis] = slice(1, None), slice(None, -1)
        more[tuple(here)] = np.where(left >= 0.0, most, -1)[tuple(ahead)]
        keep &= more < most
    where = np.nonzero(keep)
    if len(where[0]):
        yield np.stack([*where, most[where]], axis=1)


class Cover:
    """The least length of columns for every number of pieces of each kind.

    Attributes:
        lengths: one axis for each kind, with the gap after the last column; infinite where longer
            than is allowed.
    """

    def __init__(self, patterns: ColumnPatterns, quantities: Sequence[int], longest: float) -> None:
        self.patterns = patterns
        # The kind of most pieces comes last: all its numbers are looked at together.
        order = sorted(range(len(quantities)), key=lambda kind: quantities[kind])
        shape = [quantities[kind] + 1 for kind in order]
        strides = np.cumprod((1, *shape[:0:-1]))[::-1]
        self._strides = strides[np.argsort(order)]
        # Of no patterns at all the number of kinds is not known.
        counts = patterns.counts.reshape(-1, len(order))[:, order]
        table = _Table(counts, shape, strides)
        table.fill(patterns.widths, longest)
        self._by = table.by
        self.lengths = table.lengths.reshape(shape).transpose(np.argsort(order))

    def columns(self, counts: Sequence[int]) -> Iterator[tuple[float, tuple[int, ...]]]:
        """Yield the columns for numbers of pieces: the width of each, and what it holds."""
        left = np.array(counts)
        while left.any():
            by = int(self._by[int(left @ self._strides)])
            taken = np.minimum(left, self.patterns.counts[by])
            yield float(self.patterns.widths[by]), tuple(taken.tolist())
            left = left - taken


class _Table:
    """The least length for all numbers of pieces, one number of the last kind after the other.

    As columns may stand in any order, the one that is added may always be one that holds the first
    kind of which there are pieces: what is left then has fewer of these, and is known already.

    Attributes:
        lengths: of each state, mm.
        by: the pattern of the column added last.
    """

    def __init__(self, counts: Counts, shape: Sequence[int], strides: Counts) -> None:
        states = math.prod(shape)
        self.lengths = np.full(states, np.inf)
        self.by = np.full(states, -1)
        self.lengths[0] = 0.0
        # Exact, so that of equal lengths the first pattern counts.
        self._micro = np.full(states, _NEVER)
        self._micro[0] = 0
        self._counts, self._shape, self._strides = counts, shape, strides

    def fill(self, widths: Values, longest: float) -> None:
        """Find the least lengths up to the longest that is allowed, mm."""
        within = math.floor(min((longest + SLACK) * _MICRO, _NEVER - 1))
        *others, last = range(len(self._shape))
        # Of each number of the other kinds: how many of the last fit beside them, one added.
        fit = np.zeros([self._shape[kind] for kind in others], dtype=np.int64)
        columns = [_Columns(self._counts, widths, kind) for kind in range(len(self._shape))]
        for number in np.ndindex(fit.shape):
            lead = next((kind for kind in others if number[kind]), last)
            if lead == last:
                fit[number] = self._fill_alone(columns[last], within)
                continue
            fewer = (
                fit[(*number[:kind], number[kind] - 1, *number[kind + 1 :])]
                for kind in others
                if number[kind]
            )
            # What does not fit does not fit beside more either.
            fit[number] = self._fill(columns[lead], number, int(min(fewer)), within)

    def _fill_alone(self, columns: _Columns, within: int) -> int:
        """Fill in the numbers of the last kind alone; return how many fit, none included."""
        held = columns.counts[:, -1]
        for count in range(1, self._shape[-1]):
            before = count - np.minimum(count, held)
            if self._keep(np.array([count]), before[None, :], columns, within) == 0:
                return count
        return self._shape[-1]

    def _fill(self, columns: _Columns, number: Sequence[int], end: int, within: int) -> int:
        """Fill in numbers of the last kind beside the others; return how many fit."""
        first = int(np.dot(number, self._strides[:-1]))
        taken = np.minimum(number, columns.counts[:, :-1]) @ self._strides[:-1]
        rows = max(1, _CELLS // max(1, len(taken)))
        for start in range(0, end, rows):
            count = min(rows, end - start)
            before = columns.left(start, start + count) + (first - taken)
            states = first + np.arange(start, start + count)
            kept = self._keep(states, before, columns, within)
            if kept < count:
                return start + kept
        return end

    def _keep(self, states: Counts, before: Counts, columns: _Columns, within: int) -> int:
        """Keep the best column of each state; return how many of them are within the length."""
        if not before.shape[1]:
            return 0
        lengths = self._micro[before] + columns.micro
        best = lengths.argmin(axis=1)
        found = lengths[np.arange(len(states)), best]
        is_long = found > within
        kept = int(is_long.argmax()) if is_long.any() else len(states)
        these, best = states[:kept], best[:kept]
        self._micro[these] = found[:kept]
        self.lengths[these] = self.lengths[before[np.arange(kept), best]] + columns.widths[best]
        self.by[these] = columns.patterns[best]
        return kept


class _Columns:
    """The columns that hold some of a kind."""

    def __init__(self, counts: Counts, widths: Values, kind: int) -> None:
        self.patterns = np.flatnonzero(counts[:, kind])
        self.counts, self.widths = counts[self.patterns], widths[self.patterns]
        self.micro = np.rint(self.widths * _MICRO).astype(np.int64)
        last = self.counts[:, -1]
        numbers = np.arange(int(last.max(initial=0)) + 1)[:, None]
        self._left = numbers - np.minimum(numbers, last)

    def left(self, start: int, end: int) -> Counts:
        """Return what each column leaves of numbers of the last kind."""
        if end <= len(self._left):
            found: Counts = self._left[start:end]
            return found
        # From the fullest column on each piece more is one more left.
        numbers, most = np.arange(start, end), len(self._left) - 1
        return self._left[np.minimum(numbers, most)] + np.maximum(0, numbers - most)[:, None]
