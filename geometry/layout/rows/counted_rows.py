"""How short strips of many patterns of rows are, for one number of pieces after another.

What ``measured_rows`` finds; what does not depend on the number is worked out once.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from geometry.layout.rows.laid_rows import in_order
from geometry.layout.rows.many_rows import ManyRows
from geometry.layout.rows.measured_rows import (
    first_ends_along,
    height_of,
    lowest_across,
    shorter,
    shortest_along,
)
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_strips import more_rows_than_needed


class ShortestAlong:
    """The least lengths of strips with rows along them.

    Args:
        rows: the patterns.
        heights: of each pattern's strip, mm.
    """

    def __init__(self, rows: ManyRows, heights: Values) -> None:
        self._rows, self._heights = rows, heights
        laid, every = rows.laid(along=True)
        self._ends: Values | None = None
        series = laid.series_at_once(laid.rows_below(heights[every]))
        if series is not None and laid.are_equally_wide:
            self._ends = in_order(first_ends_along(laid, series))
            self._number, self._period = np.maximum(series.number, 1), laid.period

    def of(self, count: int) -> Values:
        """Return what ``shortest_along`` does."""
        if self._ends is None:
            return shortest_along(self._rows, count, self._heights)
        # Of every copy all pieces end within a period.
        copies, rank = np.divmod(count - 1, self._number)
        ends = self._ends[:, np.arange(len(rank)), rank]
        lengths = (ends + self._period * copies).min(axis=0)
        return shorter(*self._rows.both(lengths, along=True))


class LowestAcross:
    """The least heights of strips with rows across them.

    Args:
        rows: the patterns.
        widths: of each pattern's strip, mm.
        max_heights: of each pattern's strip, mm.
        more: rows are laid for so many times the pieces that are asked for.
    """

    def __init__(self, rows: ManyRows, widths: Values, max_heights: Values, more: int = 1) -> None:
        self._rows, self._widths, self._max_heights, self._more = rows, widths, max_heights, more
        self._laid: _Laid | None = None

    def of(self, count: int) -> Values:
        """Return what ``lowest_across`` does."""
        laid = self._laid
        if laid is None or count > laid.most:
            self._laid = laid = self._lay(self._more * count)
        if laid.sums is None:
            return lowest_across(self._rows, count, self._widths, self._max_heights)
        before = (laid.sums < count).sum(axis=0)
        lowest = height_of(laid.tops, before)
        # Rows after those that are enough are not looked at.
        lowest[before >= self._enough(count) * self._rows.members] = np.inf
        return shorter(*self._rows.both(lowest, along=False))

    def _lay(self, most: int) -> _Laid:
        laid, every = self._rows.laid(along=False)
        number = laid.rows_below(self._max_heights[every], self._enough(most))
        series = laid.series_at_once(number)
        if series is None or not series.pieces.is_ascending:
            return _Laid(most)
        return _Laid(most, *laid.held_up_to(series, self._widths[every]))

    def _enough(self, count: int) -> Values:
        """Return how many rows surely hold so many pieces, as ``lowest_across`` has it."""
        rows = self._rows
        _, every = rows.laid(along=False)
        return more_rows_than_needed(rows.members, rows.period, count, self._widths)[every]


class _Laid(NamedTuple):
    """Rows for so many pieces: how many end at a height or lower, and those heights.

    Nothing where rows take much memory, or where pieces that end first do not come first.
    """

    most: int
    sums: Values | None = None
    tops: Values = np.empty(0)
