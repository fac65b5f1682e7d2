"""How short strips of many patterns of rows are, and how many pieces the patterns hold.

What ``row_strips`` and ``row_laying`` find of one pattern, without the places of its pieces.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.laid_rows import LaidRows
from geometry.layout.rows.many_rows import ManyRows
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.rows.row_pieces import Series
from geometry.layout.rows.row_strips import more_rows_than_needed
from geometry.layout.rows.stacks import Stack

#: Share of a period by which a piece may stand over the edge from rounding.
_ROUNDING = 1e-9


def of_each(
    stacks: Sequence[Stack], measured: Callable[[ManyRows, NDArray[np.int64]], NDArray[np.generic]]
) -> list[Any]:
    """Return what is measured of each of any stacks.

    ``measured`` is given patterns with equally many pieces in their units, and their numbers among
    the stacks.
    """
    found: list[Any] = [None] * len(stacks)
    for rows, these in alike(tuple(stacks)):
        values = measured(rows, these)
        for at, value in zip(
            these.tolist(), values.tolist() if values.ndim == 1 else values, strict=True
        ):
            found[at] = value
    return found


@lru_cache(maxsize=128)
def alike(stacks: tuple[Stack, ...]) -> list[tuple[ManyRows, NDArray[np.int64]]]:
    """Return the patterns with equally many pieces in their units, with their numbers.

    The same patterns are measured for other numbers of pieces, and in every stage.
    """
    alike: dict[int, list[int]] = {}
    for at, stack in enumerate(stacks):
        alike.setdefault(len(stack.first.members), []).append(at)
    return [(ManyRows([stacks[at] for at in these]), np.array(these)) for these in alike.values()]


def most_held(stacks: Sequence[Stack], sizes: Sequence[tuple[float, float]]) -> list[int]:
    """Return how many pieces of each stack ``lay`` lays in its width and height."""
    frames = np.array(sizes)
    return of_each(stacks, lambda rows, these: pieces_held(rows, *frames[these].T))


def _staircase(one: Values, other: Values) -> Values:
    lengths = np.zeros((one.shape[0], one.shape[1] + 1))
    lengths[:, 1:] = np.minimum(one, other)
    return lengths


def first_ends_along(part: LaidRows, series: Series) -> Values:
    """Return, at every phase, where the first copy of each piece on a strip along it ends."""
    return part.first_ends(series, lambda apart: (apart - SLACK) / part.period)


def shortest_along(rows: ManyRows, count: int, heights: Values) -> Values:
    """Return the least length of a strip of each height with so many pieces in rows along it.

    Infinite where not even one row fits.
    """

    def measured(part: LaidRows, series: Series) -> Values:
        ends = first_ends_along(part, series)
        lengths: Values = part.nth(ends, series, np.array([count]))[:, :, 0].min(axis=0)
        return lengths

    return shorter(*rows.with_each_first(measured, heights, along=True))


def lowest_across(rows: ManyRows, count: int, widths: Values, max_heights: Values) -> Values:
    """Return the least height of a strip of each width with so many pieces in rows across it.

    Infinite where that takes more than the greatest height.
    """

    def measured(part: LaidRows, series: Series, width: Values) -> Values:
        sums, tops = part.held_up_to(series, width)
        return height_of(tops, (sums < count).sum(axis=0))

    most = more_rows_than_needed(rows.members, rows.period, count, widths)
    return shorter(*rows.with_each_first(measured, max_heights, widths, most=most))


def height_of(tops: Values, before: NDArray[np.int64]) -> Values:
    """Return the heights before which there are so many others; infinite where there are no more.

    Of heights below which there are too few pieces, the next one has enough.
    """
    every = np.arange(tops.shape[1])
    found: Values = np.where(
        before < len(tops), tops[np.minimum(before, len(tops) - 1), every], np.inf
    )
    return found


def shorter(one: Values, other: Values) -> Values:
    """Return the lengths of strips with the kind of row first with which each is shorter."""
    return np.where(other < one - SLACK, other, one)


def lengths_along(rows: ManyRows, most: int, heights: Values) -> Values:
    """Return the least lengths of strips of each height with rows along them.

    Shape:
        A line for each pattern, one entry for 0, 1, 2 ... pieces, up to ``most``.
    """
    counts = np.arange(1, most + 1)

    def measured(part: LaidRows, series: Series) -> Values:
        ends = part.first_ends(series, lambda apart: apart / part.period - _ROUNDING)
        lengths: Values = part.nth(ends, series, counts).min(axis=0)
        return lengths

    return _staircase(*rows.with_each_first(measured, heights, along=True))


def heights_across(rows: ManyRows, most: int, widths: Values, max_heights: Values) -> Values:
    """Return the least heights of strips of each width with rows across them.

    Shape:
        A line for each pattern, one entry for 0, 1, 2 ... pieces, up to ``most``; infinite
        where that takes more than the greatest height.
    """
    counts = np.arange(1, most + 1)

    def measured(part: LaidRows, series: Series, width: Values) -> Values:
        sums, tops = part.held_up_to(series, width)
        return height_of(tops, (sums < counts[:, None, None]).sum(axis=1)).T

    return _staircase(*rows.with_each_first(measured, max_heights, widths))


def pieces_held(rows: ManyRows, widths: Values, heights: Values) -> NDArray[np.int64]:
    """Return how many pieces of each pattern ``lay`` lays in a width and height."""

    def measured(part: LaidRows, series: Series, width: Values) -> Values:
        most: Values = part.held(series, width).sum(axis=1).max(axis=0)
        return most

    most: NDArray[np.int64] = np.maximum(*rows.with_each_first(measured, heights, widths)).astype(
        np.int64
    )
    return most
