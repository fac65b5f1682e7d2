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
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK

Counts = NDArray[np.int64]

#: Kinds, and numbers of pieces of each, above which no table is made.
_MAX_KINDS: Final = 3
_MAX_STATES: Final = 60_000
#: Patterns that are compared with others together.
_TOGETHER: Final = 256


def are_few(quantities: Sequence[int]) -> bool:
    """Return whether a table of every number of pieces of each kind stays small."""
    states = math.prod(each + 1 for each in quantities)
    return 1 < len(quantities) <= _MAX_KINDS and states <= _MAX_STATES


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
        order = np.lexsort((-self.counts.sum(axis=1), np.round(self.widths, 6)))
        counts, widths = self.counts[order], self.widths[order]
        kept = counts.sum(axis=1) > 0
        for start in range(0, len(counts), _TOGETHER):
            these = counts[start : start + _TOGETHER]
            before = counts[: start + len(these)]
            as_full = np.ones((len(these), len(before)), dtype=bool)
            for kind in range(counts.shape[1]):
                as_full &= before[:, kind] >= these[:, kind, None]
            # Only by one that comes before it.
            kept[start : start + len(these)] &= ~np.tril(as_full, start - 1).any(axis=1)
        return ColumnPatterns(counts[kept], widths[kept])


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
        self._shape = tuple(each + 1 for each in quantities)
        self._strides = np.cumprod((1, *self._shape[:0:-1]))[::-1]
        flat = np.full(int(np.prod(self._shape)), np.inf)
        self._by = np.full(len(flat), -1)
        flat[0] = 0.0
        states = np.stack(np.unravel_index(np.arange(len(flat)), self._shape), axis=1)
        totals = states.sum(axis=1)
        order = totals.argsort(kind="stable")
        ends = totals[order].searchsorted(np.arange(int(totals.max(initial=0)) + 2))
        for first, end in pairwise(ends[1:] if len(patterns.widths) else ()):
            # All states with so many pieces at once: each column takes at least one piece.
            these = order[first:end]
            before, widths = self._before(states[these])
            lengths = flat[before] + widths
            by = lengths.round(6).argmin(axis=1)
            found = lengths[np.arange(len(these)), by]
            here = found <= longest + SLACK
            flat[these[here]], self._by[these[here]] = found[here], by[here]
            if not here.any():
                break
        self.lengths = flat.reshape(self._shape)

    def _before(self, states: Counts) -> tuple[Counts, Values]:
        """Return what is left of states after each pattern; none may hold nothing of them."""
        # A stride at a time: of states of which a column takes all it can hold.
        own, held = states * self._strides, self.patterns.counts * self._strides
        moved = np.minimum.outer(own[:, 0], held[:, 0])
        for kind in range(1, own.shape[1]):
            moved += np.minimum.outer(own[:, kind], held[:, kind])
        widths = np.where(moved > 0, self.patterns.widths, np.inf)
        return own.sum(axis=1)[:, None] - moved, widths

    def columns(self, counts: Sequence[int]) -> Iterator[tuple[float, tuple[int, ...]]]:
        """Yield the columns for numbers of pieces: the width of each, and what it holds."""
        left = np.array(counts)
        while left.any():
            by = int(self._by[int(left @ self._strides)])
            taken = np.minimum(left, self.patterns.counts[by])
            yield float(self.patterns.widths[by]), tuple(taken.tolist())
            left = left - taken
