"""Neighbours that are merged; here numbers, of which neighbours of one parity add up."""

from __future__ import annotations

import pytest

from geometry.model.merging import first_corner, merge_neighbours


def summed(one: int, other: int) -> int | None:
    return one + other if one % 2 == other % 2 == 0 else None


@pytest.mark.parametrize(
    ("row", "merged"),
    [
        ([], []),
        ([2], [2]),
        ([2, 4, 6], [12]),
        ([1, 2, 4, 3, 6, 8], [1, 6, 3, 14]),
        # The row's ends are no neighbours.
        ([2, 1, 4], [2, 1, 4]),
    ],
)
def test_a_row_is_merged_from_its_start(row: list[int], merged: list[int]) -> None:
    assert merge_neighbours(row, summed) == merged


@pytest.mark.parametrize(
    ("ring", "corner"), [([2, 4, 6], None), ([2, 4, 1], 0), ([2, 4, 1, 6], 2), ([1], 0)]
)
def test_a_ring_begins_at_its_first_corner(ring: list[int], corner: int | None) -> None:
    assert first_corner(ring, summed) == corner
