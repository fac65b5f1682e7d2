"""How short strips of many patterns of rows are, for one number of pieces after another.

What ``measured_rows`` finds; what does not depend on the number is worked out once.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.many_rows import ManyRows
from geometry.layout.rows.measured_rows import (
    first_ends_along,
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
            self._ends = np.sort(first_ends_along(laid, series), axis=2)
            self._number, self._period = np.maximum(series.number, 1), laid.period[:, None]

    def of(self, count: int) -> Values:
        """Return what ``shortest_along`` does."""
        if self._ends is None:
            return shortest_along(self._rows, count, self._heights)
        # Of every copy all pieces end within a period.
        copies, rank = np.divmod(count - 1, self._number)
        ends = np.take_along_axis(self._ends, rank[:, None, None], axis=2)[:, :, 0]
        lengths = (ends + self._period * copies[:, None]).min(axis=1)
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
        # Pieces for which rows are laid, in what order if those that end first do not come first.
        self._most = 0
        self._sums: Values | None = None

    def of(self, count: int) -> Values:
        """Return what ``lowest_across`` does."""
        if count > self._most:
            self._lay(self._more * count)
        if self._sums is None:
            return lowest_across(self._rows, count, self._widths, self._max_heights)
        enough = self._sums >= count
        at = enough.argmax(axis=1)
        # Rows after those that are enough are not looked at.
        fits = enough[:, -1] & (at < self._enough(count) * self._rows.members)
        every = np.arange(len(at))
        lowest = np.where(fits, self._tops[every, at], np.inf)
        return shorter(*self._rows.both(lowest, along=False))

    def _lay(self, most: int) -> None:
        laid, every = self._rows.laid(along=False)
        self._every, self._most = every, most
        number = laid.rows_below(self._max_heights[every], self._enough(most))
        series = laid.series_at_once(number)
        self._sums = None
        if series is not None and series.pieces.is_ascending:
            self._sums, self._tops = laid.held_up_to(series, self._widths[every])

    def _enough(self, count: int) -> NDArray[np.float64]:
        """Return how many rows surely hold so many pieces, as ``lowest_across`` has it."""
        rows = self._rows
        return more_rows_than_needed(rows.members, rows.period, count, self._widths)[self._every]
