"""Outlines as polygons of straight edges; areas and corners by hand."""

from __future__ import annotations

import math

import pytest

from geometry import polygons
from geometry.model.outline import Outline

SQUARE = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]


def test_a_disc_of_chords_is_a_little_smaller() -> None:
    """Radius 10: chords lie within 0.01 mm, so it is smaller by at most 0.01 mm x 2 pi r."""
    disc = Outline.of([(-10.0, 0.0, 1.0), (10.0, 0.0, 1.0)])
    area = polygons.area(polygons.flattened_polygon(disc, 0.01))
    assert 100.0 * math.pi - 0.01 * 20.0 * math.pi < area < 100.0 * math.pi


@pytest.mark.parametrize("ring", [SQUARE, SQUARE[::-1]])
def test_the_outside_runs_counter_clockwise_without_its_holes(
    ring: list[tuple[float, float]],
) -> None:
    hole = [(2.0, 2.0), (4.0, 2.0), (4.0, 4.0)]
    corners = polygons.outer_ring(polygons.Polygon(ring, [hole])).tolist()
    assert sorted(map(tuple, corners)) == sorted(SQUARE)
    doubled = sum(
        x * v - u * y for (x, y), (u, v) in zip(corners, [*corners[1:], corners[0]], strict=True)
    )
    assert doubled == 200.0


@pytest.mark.parametrize(
    ("ring", "is_simple"),
    [
        (SQUARE, True),
        # A bow tie crosses itself, and a ring that comes back to a corner touches itself.
        ([(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)], False),
        ([(0.0, 0.0), (10.0, 0.0), (5.0, 5.0), (10.0, 10.0), (0.0, 10.0), (5.0, 5.0)], False),
    ],
)
def test_rings_that_meet_themselves_are_not_simple(
    ring: list[tuple[float, float]], is_simple: bool
) -> None:
    assert polygons.is_simple_polygon(Outline.of(ring)) is is_simple
