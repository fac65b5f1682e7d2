"""How long two strips of rows are beside each other, for every number of pieces in both."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.row_figures import Values


def side_by_side(lengths: Values, gap: float) -> tuple[Values, NDArray[np.int64]]:
    """Return the least lengths of two strips one after the other, and the first one's pieces.

    Shape:
        One entry for each number of pieces in both.
    """
    best, first = lengths.copy(), np.arange(len(lengths), dtype=np.int64)
    # With more than half of the pieces the first strip is what the second was before.
    for count in range(1, len(lengths) // 2 + 1):
        # The gap lies between two strips that both hold something.
        length = lengths[count : len(lengths) - count] + (lengths[count] + gap)
        at = np.arange(2 * count, len(lengths))
        better = length < best[at] - _SAME
        best[at[better]], first[at[better]] = length[better], count
    return best, first


#: Lengths that differ by less are the same, mm.
_SAME = 1e-6
