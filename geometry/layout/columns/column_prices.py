"""The columns that are worth most within a length, each of them as often as it pays.

Source:
    The knapsack problem with unbounded counts, by lists of states, each worth more than all shorter
    ones (Martello and Toth, Knapsack Problems, Wiley 1990). A state is left out where even the best
    worth per length would not bring it above the best so far. From memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK

#: Values that differ by less are the same: rounding.
_SAME = 1e-12

Numbers = NDArray[np.int64]


def most_valuable(widths: Values, values: Values, length: float) -> tuple[float, list[int]]:
    """Return the highest sum of values on a length, and which columns add up to it.

    Args:
        widths: of the columns, mm, each greater than 0.
        values: of the columns.
        length: that the columns may take together, mm.
    """
    those = _worth_most(widths, values)
    wide, worth = widths[those], values[those]
    if not len(those):
        return 0.0, []
    density = float((worth / wide).max())
    lengths, sums = np.zeros(1), np.zeros(1)
    steps: list[tuple[Numbers, Numbers]] = []
    best, where = 0.0, (0, 0)
    while len(lengths):
        long = (lengths[:, None] + wide).ravel()
        total = (sums[:, None] + worth).ravel()
        left = length + SLACK - long
        fits = np.flatnonzero((left >= 0.0) & (total + density * left > best + _SAME))
        # The shortest first, of equally long ones the one that is worth most.
        fits = fits[np.lexsort((-total[fits], long[fits].round(6)))]
        fits = fits[_rising(total[fits])]
        lengths, sums = long[fits], total[fits]
        steps.append((fits // len(wide), fits % len(wide)))
        if len(sums) and sums[-1] > best:
            best, where = float(sums[-1]), (len(steps), len(sums) - 1)
    found = []
    number, at = where
    for before, column in reversed(steps[:number]):
        found.append(int(those[column[at]]))
        at = int(before[at])
    return best, found


def _worth_most(widths: Values, values: Values) -> Numbers:
    """Return the columns that are worth something, and more than any that is no wider."""
    order = np.lexsort((-values, widths.round(6)))
    order = order[values[order] > _SAME]
    return order[_rising(values[order])]


def _rising(values: Values) -> NDArray[np.bool_]:
    """Return which values are higher than all before them."""
    before = np.maximum.accumulate(np.concatenate(([-np.inf], values)))[:-1]
    higher: NDArray[np.bool_] = values > before + _SAME
    return higher
