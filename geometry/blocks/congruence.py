"""How one piece lies on another, if both are congruent.

Source:
    The best turn of one set of points onto another: the phase of the sum of conjugate products,
    which is the two-dimensional case of W. Kabsch, "A solution for the best rotation to relate two
    sets of vectors", Acta Crystallographica A32, 1976.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections import defaultdict
from collections.abc import Sequence
from copy import copy
from typing import Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry.model.segments import Segment

#: A piece that lies askew by less than this, degrees, lies straight.
STRAIGHT_DEG = 1.0e-6
_Values: TypeAlias = NDArray[Any]
#: A piece's number of sides, and the cells of its shortest, its middle and its longest one.
_Key: TypeAlias = tuple[int, ...]


class Match(NamedTuple):
    """How one piece lies on another: its turn, the shift of sides, and the largest deviation."""

    turn_deg: float
    shift: int
    off: float


def _rolled(values: _Values, shift: int) -> _Values:
    """Return what ``np.roll`` returns, for a shift of fewer places than there are."""
    return np.concatenate((values[-shift:], values[:-shift])) if shift else values


class Form:
    """The sides of a piece as arrays about the mean of their starts and middles."""

    def __init__(self, parts: Sequence[Segment]) -> None:
        starts = np.array([complex(*part.start) for part in parts])
        middles = np.array([complex(*part.point_at(0.5)) for part in parts])
        self.mean = complex((starts.sum() + middles.sum()) / (2 * len(parts)))
        self.starts, self.middles = starts - self.mean, middles - self.mean
        self.lengths = np.array([part.length for part in parts])
        self.sorted_lengths: list[float] = sorted(self.lengths.tolist())

    def rolled(self, shift: int) -> Form:
        """Return the same form, counted from another side."""
        form = copy(self)
        form.starts, form.middles = _rolled(self.starts, shift), _rolled(self.middles, shift)
        return form


class Index:
    """Forms by number, found by the lengths of their sides.

    Sides of congruent pieces differ by at most twice the tolerance, so that these lie in the same
    cell of lengths or in one beside it.
    """

    def __init__(self, tolerance: float) -> None:
        self._cell = 2.0 * tolerance
        self._numbers: dict[_Key, list[int]] = defaultdict(list)

    def _key(self, form: Form) -> _Key:
        lengths = form.sorted_lengths
        chosen = (lengths[0], lengths[len(lengths) // 2], lengths[-1])
        return len(lengths), *(math.floor(each / self._cell) for each in chosen)

    def add(self, number: int, form: Form) -> None:
        """Add a form by its number."""
        self._numbers[self._key(form)].append(number)

    def near(self, form: Form) -> list[int]:
        """Return the numbers, in order, of the forms that may be congruent to another."""
        count, *cells = self._key(form)
        around = itertools.product(*((cell - 1, cell, cell + 1) for cell in cells))
        return sorted(number for key in around for number in self._numbers.get((count, *key), ()))


def match(one: Form, other: Form, tolerance: float) -> Match | None:
    """Return how the first piece lies on the second one, if it does within the tolerance."""
    if len(one.lengths) != len(other.lengths):
        return None
    # Most pieces differ in their shortest side already.
    lengths = zip(one.sorted_lengths, other.sorted_lengths, strict=True)
    if any(abs(a - b) > 2.0 * tolerance for a, b in lengths):
        return None
    fits: list[Match] = []
    for shift in range(len(one.lengths)):
        if np.abs(_rolled(one.lengths, shift) - other.lengths).max() > 2.0 * tolerance:
            continue
        turn, off = best_turn(one.rolled(shift), other)
        if off <= tolerance:
            fits.append(Match(turn, shift, off))
    # The smallest turn of those that differ by rounding, so that squares are not turned.
    nearest = min((fit.off for fit in fits), default=0.0) + STRAIGHT_DEG
    return min((fit for fit in fits if fit.off <= nearest), default=None)


def best_turn(one: Form, other: Form) -> tuple[float, float]:
    """Return the turn, degrees, that brings one form nearest to another, and how near, mm."""
    sum_ = complex(np.vdot(one.starts, other.starts) + np.vdot(one.middles, other.middles))
    if abs(sum_) == 0.0:
        return 0.0, math.inf
    unit = sum_ / abs(sum_)
    off = max(
        float(np.abs(unit * one.starts - other.starts).max()),
        float(np.abs(unit * one.middles - other.middles).max()),
    )
    turn = math.degrees(cmath.phase(unit)) % 360.0
    return (0.0 if min(turn, 360.0 - turn) < STRAIGHT_DEG else turn), off
