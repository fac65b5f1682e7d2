"""Columns and lanes of a few kinds are the shortest for any number of pieces, by trying all."""

from __future__ import annotations

import math
from functools import cache
from itertools import product

import numpy as np
import pytest

from geometry.layout.columns.column_cover import ColumnPatterns, Cover
from geometry.layout.columns.column_lanes import Lanes
from geometry.layout.rows.row_figures import Values

#: Widths of columns, and of each the heights that pieces of each kind take.
_COLUMNS: list[tuple[float, list[Values]]] = [
    (4.0, [np.array([0.0, 4.0, 8.0, 12.0, 16.0]), np.array([0.0, 3.0, 3.0, 6.0])]),
    (2.0, [np.array([0.0, *[np.inf] * 4]), np.array([0.0, 3.0, 6.0, 9.0])]),
    (8.5, [np.array([0.0, 4.0, 4.0, 8.0, 8.0]), np.array([0.0, 3.0, 3.0, 3.0])]),
]


def _all(height: float) -> set[tuple[float, tuple[int, ...]]]:
    """Return every pattern that any column holds."""
    return {
        (width, counts)
        for width, heights in _COLUMNS
        for counts in product(*(range(len(each)) for each in heights))
        if any(counts)
        and sum(each[count] for each, count in zip(heights, counts, strict=True)) <= height
    }


def _shortest(height: float, left: tuple[int, ...]) -> float:
    patterns = _all(height)

    @cache
    def least(left: tuple[int, ...]) -> float:
        if not any(left):
            return 0.0
        return min(
            (
                width + least(after)
                for width, counts in patterns
                for after in [
                    tuple(max(0, each - held) for each, held in zip(left, counts, strict=True))
                ]
                if after != left
            ),
            default=math.inf,
        )

    return least(left)


@pytest.mark.parametrize("height", [3.5, 7.0, 9.0, 15.0])
@pytest.mark.parametrize("longest", [9.0, 40.0])
def test_lengths_are_those_of_trying_everything(height: float, longest: float) -> None:
    cover = Cover(ColumnPatterns.of(_COLUMNS, height), (4, 3), longest)
    for counts in product(range(5), range(4)):
        least = _shortest(height, counts)
        found = float(cover.lengths[counts])
        assert found == pytest.approx(least if least <= longest else math.inf)


def test_columns_hold_what_was_asked_and_take_the_length() -> None:
    cover = Cover(ColumnPatterns.of(_COLUMNS, 9.0), (4, 3), 40.0)
    columns = list(cover.columns((4, 3)))
    assert np.array([held for _, held in columns]).sum(axis=0).tolist() == [4, 3]
    assert sum(width for width, _ in columns) == pytest.approx(float(cover.lengths[4, 3]))


def test_no_pattern_is_held_by_a_narrower_column() -> None:
    patterns = ColumnPatterns.of(_COLUMNS, 9.0)
    for at, (counts, width) in enumerate(zip(patterns.counts, patterns.widths, strict=True)):
        narrower = [
            other
            for number, other in enumerate(patterns.counts)
            if number != at and patterns.widths[number] <= width
        ]
        assert not any((other >= counts).all() for other in narrower)


def test_nothing_fits_a_height_that_is_too_low() -> None:
    cover = Cover(ColumnPatterns.of(_COLUMNS, 2.0), (1, 1), 40.0)
    assert float(cover.lengths[0, 0]) == 0.0
    assert np.isinf(cover.lengths.flat[1:]).all()


@pytest.mark.parametrize("lower", [3.5, 4.0, 6.0])
def test_two_lanes_are_as_short_as_any_split(lower: float) -> None:
    height, longest = 10.0, 40.0
    after = Cover(ColumnPatterns.of(_COLUMNS, height), (4, 3), longest)
    lanes = Lanes(_COLUMNS, after, (4, 3), lower, height, longest)
    for counts in product(range(5), range(4)):
        splits = [
            (
                max(_shortest(lower, low), _shortest(height - lower, high))
                + _shortest(height, rest),
                (low, high, rest),
            )
            for low in product(*(range(each + 1) for each in counts))
            for high in product(*(range(a - b + 1) for a, b in zip(counts, low, strict=True)))
            for rest in [tuple(a - b - c for a, b, c in zip(counts, low, high, strict=True))]
        ]
        assert lanes.length(counts) == pytest.approx(min(length for length, _ in splits))
        found = [length for length, parts in splits if parts == lanes.parts(counts)]
        assert found == [pytest.approx(lanes.length(counts))]
