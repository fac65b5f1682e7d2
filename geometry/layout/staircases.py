"""How long two strips of rows are beside each other, for every number of pieces in both."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from geometry.layout.row_figures import Values


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
