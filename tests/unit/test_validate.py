"""Errors of outlines that cannot be cut, all reported together."""

import math

import pytest

from geometry.errors import GeometryError, GeometryFaults, NonFiniteError
from geometry.intersect import meet
from geometry.measure import area
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.model.segments import Arc, Line
from geometry.separation import contains, separation
from geometry.shapes.catalogue import build
from geometry.shapes.custom import from_path, from_points

BAD: dict[str, list[tuple[float, ...]]] = {
    "bow tie": [(0, 0), (10, 10), (10, 0), (0, 10)],
    "two points": [(0, 0), (10, 0)],
    "no area": [(0, 0), (10, 0), (20, 0)],
    "doubled point": [(0, 0), (10, 0), (10, 0), (0, 10)],
    "self-touching": [(0, 0), (10, 0), (10, 10), (5, 0), (0, 10)],
    "spike": [(0, 0), (10, 0), (20, 0), (10, 0), (10, 10)],
    "far away": [(0, 0), (1e9, 0), (1, 1)],
    "not a number": [(0, 0), (math.nan, 0), (1, 1)],
    "edge of 1e-12 mm": [(0, 0), (1e-12, 0), (10, 0), (1, 10)],
    "bulge over a half circle": [(0, 0, 2.0), (10, 0), (5, 10)],
    "arcs that cross": [(0, 0, 1), (5, 0, 1), (10, 0)],
    "one point": [(0, 0)],
    "nothing": [],
}


@pytest.mark.parametrize("name", BAD)
def test_refused(name: str) -> None:
    with pytest.raises(GeometryError):
        from_points(BAD[name])


def test_faults_are_told_together() -> None:
    with pytest.raises(GeometryFaults) as caught:
        from_points([(0, 0), (math.nan, 0), (math.inf, 1), (3, 3)])
    assert [fault.where for fault in caught.value.faults] == [(1,), (2,)]
    assert all(isinstance(fault, NonFiniteError) for fault in caught.value.faults)


def test_too_many_points() -> None:
    with pytest.raises(GeometryError, match="at most"):
        from_points([(i, i * i) for i in range(5001)])


def test_clockwise_is_turned_round() -> None:
    outline = from_points([(0, 0), (0, 10), (10, 10), (10, 0)])
    assert area(outline) == 100.0


def test_a_line_closes_the_ring_where_there_is_one() -> None:
    outline = from_points([(0, 0), (10, 0), (10, 10, 0.5), (0, 10, 0.5)])
    assert outline.vertices[-1].bulge == 0.0


def test_path_data_is_turned_up_once() -> None:
    outline = from_path("M0 0 h10 v5 L 0 5 z", scale=2.0)
    assert outline.bounds == (0.0, -10.0, 20.0, 0.0)
    for bad in (
        "",
        "L1 1",
        "M0 0 L1 x Z",
        "M0 0 L10 0 L0 10",
        "M0 0 L1",
        "M0 0Z M1 1Z",
        "M0 0 J1 2",
    ):
        with pytest.raises(GeometryError):
            from_path(bad, scale=1.0)


def test_meetings() -> None:
    level = Line(Point(0, 0), Point(10, 0))
    assert meet(level, Line(Point(5, -5), Point(5, 5))).crossings[0].first == 0.5
    assert meet(level, Line(Point(5, 1), Point(5, 5))).crossings == ()
    assert meet(level, Line(Point(2, 0), Point(20, 0))).overlap
    assert not meet(level, Line(Point(10, 0), Point(20, 0))).overlap
    half = Arc(Point(10, 0), Point(0, 0), 1.0)
    assert [c.point for c in meet(half, level).crossings] == [Point(10, 0), Point(0, 0)] or len(
        meet(half, level).crossings
    ) == 2
    assert len(meet(half, Line(Point(5, 0), Point(5, 9))).crossings) == 1
    assert meet(half, Line(Point(5, -9), Point(5, -0.1))).crossings == ()
    # A line that only touches the top of the arc touches once.
    assert len(meet(half, Line(Point(0, 5), Point(10, 5))).crossings) == 1
    other = Arc(Point(14, 0), Point(4, 0), 1.0)
    assert len(meet(half, other).crossings) == 1
    assert meet(half, Arc(Point(5, 5), Point(0, 0), math.tan(math.pi / 8))).overlap


def test_separation_of_arcs() -> None:
    circle = build("circle", {"diameter": 20.0})
    moved = Outline.of([(v.x + 23.5, v.y, v.bulge) for v in circle.vertices])
    assert separation(circle, moved) == pytest.approx(3.5, abs=1e-12)
    inside = Outline.of([(v.x * 0.5, v.y * 0.5, v.bulge) for v in circle.vertices])
    assert separation(circle, inside) == 0.0
    square = Outline.of([(12, -1), (14, -1), (14, 1), (12, 1)])
    assert separation(circle, square) == pytest.approx(2.0, abs=1e-12)


def test_points_inside_a_hollow_are_outside() -> None:
    shell = build("clamshell", {"width": 20.0})
    assert contains(shell, Point(0, 5))
    assert contains(shell, Point(0, -5))
    assert not contains(shell, Point(7, -7))
    assert not contains(shell, Point(9, 9))
