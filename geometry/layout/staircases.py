"""How long a strip must be for every number of pieces in rows: one array for each pattern."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from geometry.layout.row_figures import Figures, Values
from geometry.layout.row_laying import held_of, phases_of, series_of

#: Arrays kept: every effort starts with the patterns of the one below it.
_CACHED = 128


@lru_cache(maxsize=_CACHED)
def lengths_along(figures: Figures, most: int, height: float) -> Values:
    """Return the least lengths of strips of a height with rows along them.

    Shape:
        One entry for 0, 1, 2 ... pieces, up to ``most``.
    """
    best = _nothing(most)
    for start in (0, 1):
        series = series_of(figures, start, height, None)
        if series is None:
            continue
        phases = phases_of(figures, series)[:, None]
        copies = math.ceil(most / len(series.x)) + 2
        first = np.ceil((-series.left - series.x - phases) / figures.period - _ROUNDING)
        ends = series.x + phases + first * figures.period + series.right
        all_ends = ends[:, :, None] + figures.period * np.arange(copies)
        ordered = np.sort(all_ends.reshape(len(phases), -1), axis=1).min(axis=0)[:most]
        best[1 : len(ordered) + 1] = np.minimum(best[1 : len(ordered) + 1], ordered)
    return _kept(best)


@lru_cache(maxsize=_CACHED)
def heights_across(figures: Figures, most: int, width: float, max_height: float) -> Values:
    """Return the least heights of strips of a width with rows across them.

    Shape:
        One entry for 0, 1, 2 ... pieces, up to ``most``; infinite where that takes more than
        ``max_height``.
    """
    best = _nothing(most)
    counts = np.arange(1, most + 1)
    for start in (0, 1):
        series = series_of(figures, start, max_height, None)
        if series is None:
            continue
        held = held_of(figures, series, phases_of(figures, series, width), width)[2]
        tops = series.y + series.top
        order = np.round(tops, 7).argsort(kind="stable")
        sums, tops = held[:, order].cumsum(axis=1), np.append(tops[order], np.inf)
        for each in sums:
            best[1:] = np.minimum(best[1:], tops[each.searchsorted(counts)])
    return _kept(best)


#: Share of a period by which a piece may stand over the edge from rounding.
_ROUNDING = 1e-9


def _nothing(most: int) -> Values:
    best: Values = np.full(most + 1, np.inf)
    best[0] = 0.0
    return best


def _kept(values: Values) -> Values:
    """Return values that several callers share, so that none can change them."""
    values.flags.writeable = False
    return values


def side_by_side(one: Values, other: Values, gap: float) -> tuple[Values, NDArray[np.int64]]:
    """Return the least lengths of two strips one after the other, and the first one's pieces.

    Shape:
        One entry for each number of pieces in both.
    """
    best, first = one.copy(), np.arange(len(one), dtype=np.int64)
    for count in range(len(one)):
        # The gap lies between two strips that both hold something.
        length = other[1 : len(one) - count] + (one[count] + (gap if count else 0.0))
        at = np.arange(count + 1, len(one))
        better = length < best[at] - _SAME
        best[at[better]], first[at[better]] = length[better], count
    return best, first


#: Lengths that differ by less are the same, mm.
_SAME = 1e-6
