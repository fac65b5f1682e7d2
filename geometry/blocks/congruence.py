"""How pieces lie on each other, if they are congruent.

All pieces with the same number of sides are compared as rows of arrays.

Source:
    The best turn of one set of points onto another: the phase of the sum of conjugate products,
    which is the two-dimensional case of W. Kabsch, "A solution for the best rotation to relate two
    sets of vectors", Acta Crystallographica A32, 1976.
"""

from __future__ import annotations

from typing import Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry.segment_pairs import Indices, Numbers

#: A piece that lies askew by less than this, degrees, lies straight.
STRAIGHT_DEG = 1.0e-6
#: Rounding of the sums of lengths, as a share.
_ROUNDING = 1.0e-9
#: Pairs of forms that are compared at once, for each form on average.
_MAX_PAIRS = 32
_NONE: Indices = np.empty(0, dtype=np.intp)
_Values: TypeAlias = NDArray[Any]


class Match(NamedTuple):
    """How one piece lies on another: its turn, the shift of sides, and the largest deviation."""

    turn_deg: float
    shift: int
    off: float


class Forms(NamedTuple):
    """Pieces with the same number of sides: a row for each, a column for each side.

    Args:
        means: of the starts and middles of each piece's sides, as complex numbers.
        starts: of the sides, about the mean.
        middles: of the sides, about the mean.
        lengths: of the sides, mm.
        sorted_lengths: the same, shortest first.
    """

    means: _Values
    starts: _Values
    middles: _Values
    lengths: Numbers
    sorted_lengths: Numbers

    @classmethod
    def of(cls, rows: Numbers) -> Forms:
        """Return the forms of pieces.

        Args:
            rows: x, y and bulge where each side begins, of shape (pieces, sides, 3).
        """
        starts = rows[:, :, 0] + 1j * rows[:, :, 1]
        bulges = rows[:, :, 2]
        chords = np.roll(starts, -1, axis=1) - starts
        middles = starts + chords * (0.5 - 0.5j * bulges)
        half = 2.0 * np.arctan(np.abs(bulges))
        # The length of an arc to that of its chord; 1 for a line.
        longer = np.divide(half, np.sin(half), out=np.ones_like(half), where=half > 0.0)
        lengths = np.abs(chords) * longer
        means = (starts.sum(axis=1) + middles.sum(axis=1)) / (2 * starts.shape[1])
        aside = means[:, None]
        return cls(means, starts - aside, middles - aside, lengths, np.sort(lengths, axis=1))

    def rows(self, numbers: Indices | slice) -> Forms:
        """Return some of the pieces."""
        return Forms(*(each[numbers] for each in self))

    def rolled(self, shift: int) -> Forms:
        """Return the same pieces, counted from another side."""
        starts, middles, lengths = (
            np.roll(each, shift, axis=1) for each in (self.starts, self.middles, self.lengths)
        )
        return Forms(self.means, starts, middles, lengths, self.sorted_lengths)

    def mirrored(self) -> Forms:
        """Return the mirror images in the y axis, with their sides in the opposite order."""
        # The last side comes first; it begins where it ended.
        starts = -np.conj(np.roll(self.starts[:, ::-1], 1, axis=1))
        middles = -np.conj(self.middles[:, ::-1])
        lengths = self.lengths[:, ::-1]
        return Forms(-np.conj(self.means), starts, middles, lengths, self.sorted_lengths)


class Index:
    """Finds the forms that may be congruent to one by the lengths of their sides.

    The sides of congruent pieces differ by at most twice the tolerance.
    """

    def __init__(self, forms: Forms, tolerance: float) -> None:
        self._lengths, self._apart = forms.sorted_lengths, 2.0 * tolerance
        around = self._lengths.sum(axis=1)
        self._order = np.argsort(around, kind="stable")
        ordered = around[self._order]
        apart = self._apart * self._lengths.shape[1] + _ROUNDING * around
        self._first = np.searchsorted(ordered, around - apart, side="left").tolist()
        self._last = np.searchsorted(ordered, around + apart, side="right").tolist()
        self._known = self._near_pairs()

    def _near_pairs(self) -> list[list[int]] | None:
        """Return for each row those that may be congruent, if few have as long sides in all."""
        first, counts = np.array(self._first), np.array(self._last) - np.array(self._first)
        if int(counts.sum()) > _MAX_PAIRS * len(counts):
            return None
        one = np.repeat(np.arange(len(counts)), counts)
        begins = np.cumsum(counts) - counts
        other = self._order[np.arange(len(one)) - begins[one] + first[one]]
        apart = np.abs(self._lengths[one] - self._lengths[other]).max(axis=1)
        kept = (apart <= self._apart) & (one != other)
        found: list[list[int]] = [[] for _ in range(len(counts))]
        for row, near in sorted(zip(one[kept].tolist(), other[kept].tolist(), strict=True)):
            found[row].append(near)
        return found

    def near(self, row: int, among: NDArray[np.bool_]) -> Indices:
        """Return the rows, in order, of the forms that may be congruent to another.

        Args:
            row: of the other form.
            among: for each row whether it may be returned.
        """
        if self._known is not None:
            near = self._known[row]
            return (
                np.array([each for each in near if among[each]], dtype=np.intp) if near else _NONE
            )
        first, last = self._first[row], self._last[row]
        if last - first == 1:
            return _NONE
        found = self._order[first:last]
        found = found[among[found]]
        if len(found):
            apart = np.abs(self._lengths[found] - self._lengths[row]).max(axis=1)
            found = np.sort(found[apart <= self._apart])
        return found


def match(one: Forms, other: Forms, tolerance: float) -> list[Match | None]:
    """Return how pieces lie on others, where they do within the tolerance.

    Args:
        one: a single piece, or as many as the others.
        other: the pieces that they are to lie on, with as many sides.
        tolerance: largest distance between both, mm.
    """
    count, sides = other.lengths.shape
    turns = np.zeros((sides, count))
    offs = np.full((sides, count), np.inf)
    for shift in range(sides):
        turned = one.rolled(shift)
        apart = np.abs(turned.lengths - other.lengths).max(axis=1)
        rows = np.flatnonzero(apart <= 2.0 * tolerance)
        if len(rows):
            alone = len(one.means) == 1
            parts = turned if alone else turned.rows(rows)
            turns[shift, rows], offs[shift, rows] = best_turns(parts, other.rows(rows))
    offs[offs > tolerance] = np.inf
    # The smallest turn of those that differ by rounding, so that squares are not turned.
    turns[offs > offs.min(axis=0) + STRAIGHT_DEG] = np.inf
    shifts = turns.argmin(axis=0)
    at = np.arange(count)
    found = zip(turns[shifts, at].tolist(), shifts.tolist(), offs[shifts, at].tolist(), strict=True)
    return [Match(*row) if row[2] <= tolerance else None for row in found]


def best_turns(one: Forms, other: Forms) -> tuple[Numbers, Numbers]:
    """Return the turns, degrees, that bring forms nearest to others, and how near, mm."""
    products = np.conj(one.starts) * other.starts + np.conj(one.middles) * other.middles
    sums = products.sum(axis=1)
    size = np.abs(sums)
    unit = (sums / np.where(size > 0.0, size, 1.0))[:, None]
    off = np.maximum(
        np.abs(unit * one.starts - other.starts).max(axis=1),
        np.abs(unit * one.middles - other.middles).max(axis=1),
    )
    off[size == 0.0] = np.inf
    turns = np.degrees(np.angle(sums)) % 360.0
    turns[np.minimum(turns, 360.0 - turns) < STRAIGHT_DEG] = 0.0
    return turns, off
