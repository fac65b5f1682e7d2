"""The least length of strip that a pattern of rows can take, before its rows are laid.

Source:
    Own derivation: at every phase a member of a row whose width is w has at most
    floor((length - w) / period) + 1 copies on a length. So many rows of so many members hold no
    more than the sum.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.layout.row_figures import Figures, Values
from geometry.layout.row_laying import SLACK
from geometry.tolerance import LAYOUT_ACCURACY

#: Rows that stand no farther apart are not stacked.
_MIN_RISE = LAYOUT_ACCURACY


class StripBounds:
    """Bounds for many patterns of rows at once; an entry of each array belongs to a pattern."""

    def __init__(self, figures: Sequence[Figures]) -> None:
        self.members = np.array([each.members for each in figures])
        self.period = np.array([each.period for each in figures])
        self.width = np.array([float((each.right - each.left).min()) for each in figures])
        self.rise = np.array([each.dy for each in figures])
        self.bottoms = np.array([each.bottoms for each in figures])
        self.tops = np.array([each.tops for each in figures])
        # Of the members' own tops those of units with fewer members are never reached.
        most = int(self.members.max())
        self.member_tops = np.full((len(figures), 2, most), np.inf)
        for at, each in enumerate(figures):
            self.member_tops[at, :, : each.members] = each.y + each.top
        self.cycle = np.maximum(self.rise.sum(axis=1), _MIN_RISE)

    def along(self, count: int, height: float) -> Values:
        """Return the least lengths of rows that run along a strip of a height."""
        most = np.zeros(len(self.members))
        for first in (0, 1):
            other = 1 - first
            bottom = self.bottoms[:, first]
            rows = self._rows(height - self.tops[:, first] + bottom)
            rows += self._rows(height - self.tops[:, other] + bottom - self.rise[:, first])
            most = np.maximum(most, rows)
        copies = np.ceil(count / np.maximum(most * self.members, 1.0))
        length = (copies - 1.0) * self.period + self.width - SLACK
        bounds: Values = np.where(most > 0.0, length, np.inf)
        return bounds

    def _rows(self, spare: Values) -> Values:
        rows: Values = np.maximum(np.floor((spare + SLACK) / self.cycle) + 1.0, 0.0)
        return rows

    def across(self, count: int, width: float) -> Values:
        """Return the least heights of rows that run across a strip of a width."""
        copies = np.floor((width - self.width + SLACK) / self.period) + 1.0
        needed = np.ceil(count / np.maximum(copies, 1.0)) - 1.0
        per_cycle = 2.0 * self.members
        cycles = np.floor(needed / per_cycle)
        rest = (needed - per_cycle * cycles).astype(int)[:, None]
        least = np.full(len(self.members), np.inf)
        for first in (0, 1):
            tops = self.member_tops.copy()
            tops[:, 1 - first] += self.rise[:, first, None]
            tops = np.sort(tops.reshape(len(tops), -1), axis=1)
            lowest = tops[:, 0]
            highest = np.where(np.isfinite(tops), tops, -np.inf).max(axis=1)
            # Rows of which some end above the next cycle's lowest may be filled in another order.
            last = np.where(
                highest - lowest < self.cycle, np.take_along_axis(tops, rest, axis=1)[:, 0], lowest
            )
            least = np.minimum(least, last + cycles * self.cycle - self.bottoms[:, first])
        bounds: Values = np.where(copies > 0.0, least - SLACK, np.inf)
        return bounds
