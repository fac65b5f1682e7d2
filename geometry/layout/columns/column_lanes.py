"""Two lanes of columns, one above the other, before columns that are as high as both."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.layout.columns.column_cover import ColumnPatterns, Cover
from geometry.layout.rows.row_figures import Values


class Lanes:
    """Lanes of two heights: what both hold together, and the columns that follow them.

    Attributes:
        lower: the columns of the lower lane.
        upper: those of the upper one.
        after: columns as high as both lanes.
        lower_height: of the lower lane with a gap, mm.
    """

    def __init__(
        self,
        columns: Sequence[tuple[float, Sequence[Values]]],
        after: Cover,
        quantities: Sequence[int],
        lower_height: float,
        height: float,
        longest: float,
    ) -> None:
        self.lower, self.upper = (
            Cover(ColumnPatterns.of(columns, each), quantities, longest)
            for each in (lower_height, height - lower_height)
        )
        self.after, self.lower_height = after, lower_height
        self._both = np.full(after.lengths.shape, np.inf)
        for counts in np.argwhere(np.isfinite(self.lower.lengths)).tolist():
            more = tuple(slice(each, None) for each in counts)
            length = np.maximum(
                self.lower.lengths[tuple(counts)], _less(self.upper.lengths, counts)
            )
            np.minimum(self._both[more], length, out=self._both[more])

    def length(self, counts: Sequence[int]) -> float:
        """Return the least length of lanes and columns for numbers of pieces."""
        return float(self._lengths(counts).min())

    def parts(self, counts: Sequence[int]) -> tuple[tuple[int, ...], ...]:
        """Return what the lower lane holds, the upper one, and the columns after them."""
        lengths = self._lengths(counts)
        both = np.unravel_index(int(lengths.round(6).argmin()), lengths.shape)
        here = tuple(slice(None, int(each) + 1) for each in both)
        lanes = np.maximum(self.lower.lengths[here], np.flip(self.upper.lengths[here]))
        lower = np.unravel_index(int(lanes.round(6).argmin()), lanes.shape)
        return (
            tuple(int(each) for each in lower),
            tuple(int(each - less) for each, less in zip(both, lower, strict=True)),
            tuple(int(each - less) for each, less in zip(counts, both, strict=True)),
        )

    def _lengths(self, counts: Sequence[int]) -> Values:
        """Return the length for every number of pieces that the lanes may hold of these."""
        here = tuple(slice(None, each + 1) for each in counts)
        lengths: Values = self._both[here] + np.flip(self.after.lengths[here])
        return lengths


def _less(lengths: Values, counts: Sequence[int]) -> Values:
    """Return lengths without the last entries along each axis, as many as counts."""
    sizes = zip(lengths.shape, counts, strict=True)
    return lengths[tuple(slice(None, size - each) for size, each in sizes)]
