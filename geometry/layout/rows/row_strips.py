"""The shortest strip of a sheet that holds so many pieces of one kind in rows.

Rows run along the strip or across it. Of every pattern of rows the pieces that end first along
the strip are taken, so that the strip ends with the last of them; every phase at which a piece
lies flush with a side is tried, and both kinds of row come first in turn.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.layout.rows.row_figures import Figures, Members, Values
from geometry.layout.rows.row_laying import SLACK, held_of, phases_of, series_of
from geometry.model.transform import Rigid

#: Rows beyond the ones that the average asks for.
_MORE_ROWS = 3
#: Strips kept: every effort starts with the patterns of the one below it.
_CACHED = 512


@dataclass(frozen=True)
class Strip:
    """A strip: its length, and how its pieces lie when they are asked for.

    Attributes:
        length: along the rows or across them, mm.
        places: finds the turns of the pieces, degrees, and their x and y.
    """

    length: float
    places: Callable[[], tuple[Values, Values, Values]]

    def moves(self) -> list[Rigid]:
        """Return how the pieces lie."""
        turns, x, y = (each.tolist() for each in self.places())
        return [Rigid(*each) for each in zip(turns, x, y, strict=True)]


@lru_cache(maxsize=_CACHED)
def strip_along(figures: Figures, count: int, height: float) -> Strip | None:
    """Return the strip of the least length whose rows run along it, on a strip of a height."""
    best: Strip | None = None
    for start in (0, 1):
        series = series_of(figures, start, height, None)
        if series is not None:
            found = _along(figures, series, count)
            if found is not None and (best is None or found.length < best.length - SLACK):
                best = found
    return best


def _along(figures: Figures, series: Members, count: int) -> Strip | None:
    period = figures.period
    copies = math.ceil(count / len(series.x)) + 2
    phases = phases_of(figures, series)[:, None]
    # Of each phase the ends of every copy that may be among the first ones.
    first = np.ceil((-series.left - series.x - phases - SLACK) / period)
    at = series.x + phases + first * period
    ends = ((at + series.right)[:, :, None] + period * np.arange(copies)).reshape(len(phases), -1)
    if ends.shape[1] < count:
        return None
    lengths = np.partition(ends, count - 1, axis=1)[:, count - 1]
    index = int(np.round(lengths, 7).argmin())

    def places() -> tuple[Values, Values, Values]:
        x = at[index][:, None] + period * np.arange(copies)
        y = np.broadcast_to(series.y[:, None], x.shape)
        turns = np.broadcast_to(series.turns[:, None], x.shape)
        order = np.lexsort((np.round(y, 6).ravel(), np.round(ends[index], 6)))[:count]
        return turns.ravel()[order], x.ravel()[order], y.ravel()[order]

    return Strip(float(lengths[index]), places)


@lru_cache(maxsize=_CACHED)
def strip_across(figures: Figures, count: int, width: float, max_height: float) -> Strip | None:
    """Return the strip of the least height whose rows run across it, on a strip of a width."""
    best: Strip | None = None
    rows = int(more_rows_than_needed(figures.members, figures.period, count, width))
    for start in (0, 1):
        series = series_of(figures, start, max_height, rows)
        if series is not None:
            found = _across(figures, series, count, width)
            if found is not None and (best is None or found.length < best.length - SLACK):
                best = found
    return best


def _across(figures: Figures, series: Members, count: int, width: float) -> Strip | None:
    period = figures.period
    x, first, held = held_of(figures, series, phases_of(figures, series, width), width)
    tops = series.y + series.top
    order = np.round(tops, 7).argsort(kind="stable")
    sums = held[:, order].cumsum(axis=1)
    enough = sums >= count
    if not enough[:, -1].any():
        return None
    heights = np.where(enough[:, -1], tops[order][enough.argmax(axis=1)], np.inf)
    # Of phases that end alike the one that holds most leaves the last row the most choice.
    index = int(np.lexsort((-sums[:, -1], np.round(heights, 7)))[0])

    def places() -> tuple[Values, Values, Values]:
        copies = held[index].astype(int)
        row = np.repeat(np.arange(len(copies)), copies)
        copy = np.arange(len(row)) - np.repeat(copies.cumsum() - copies, copies)
        across = x[index][row] + (first[index][row] + copy) * period
        ends = (series.y + series.top)[row]
        kept = np.lexsort((np.round(across, 6), np.round(ends, 6)))[:count]
        return series.turns[row][kept], across[kept], series.y[row][kept]

    return Strip(float(heights[index]), places)


def more_rows_than_needed(
    members: int, period: float | Values, count: int, width: float | Values
) -> Values:
    """Return a number of rows of a width that surely holds so many pieces."""
    per_row = np.maximum(1.0, members * (width / period - 1.0))
    rows: Values = np.ceil(count / per_row) + _MORE_ROWS
    return rows
