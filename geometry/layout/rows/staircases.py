"""How long two strips of rows are beside each other, for every number of pieces in both."""

from __future__ import annotations

from functools import lru_cache

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
    counts, rest = _splits(len(lengths))
    # The gap lies between two strips that both hold something.
    both = np.append(lengths, np.inf)[rest] + (lengths[counts] + gap)[:, None]
    shorter = both < lengths - _SAME
    for number in np.flatnonzero(shorter.any(axis=1)).tolist():
        better = shorter[number] & (both[number] < best - _SAME)
        best[better], first[better] = both[number][better], counts[number]
    return best, first


def shortest_of_two(lengths: Values, count: int, gap: float) -> float:
    """Return the least length of one strip, or of two one after the other, with so many pieces."""
    half = count // 2
    both = lengths[1 : half + 1] + lengths[count - half : count][::-1]
    return float(min(lengths[count], both.min(initial=np.inf) + gap))


@lru_cache(maxsize=16)
def _splits(most: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the first strip's pieces, at most half of all, and the second one's.

    Shape:
        First strip; first strip, both. What follows the most stands for too few.
    """
    counts = np.arange(1, most // 2 + 1)
    rest = np.arange(most) - counts[:, None]
    return counts, np.where(rest < counts[:, None], most, rest)


#: Lengths that differ by less are the same, mm.
_SAME = 1e-6
