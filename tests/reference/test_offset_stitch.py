"""Stretches joined into rings, worked by hand."""

import math

import pytest

from geometry.errors import InternalError
from geometry.measure import area
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.model.segments import Arc, Line, Segment
from geometry.offset.raw import move_edges
from geometry.offset.slices import Windings
from geometry.offset.stitch import stitched


def rectangle(x: float, y: float, width: float, height: float) -> Outline:
    return Outline.of([(x, y), (x + width, y), (x + width, y + height), (x, y + height)])


def lines(ring: Outline) -> list[Line]:
    return [part for part in ring.segments if isinstance(part, Line)]


def test_rings_that_touch_at_a_corner_stay_apart() -> None:
    first, second = rectangle(0, 0, 10, 10), rectangle(10, 10, 20, 20)
    rings = stitched([*lines(first), *lines(second)])
    assert sorted(area(ring) for ring in rings) == pytest.approx([100.0, 400.0])


def test_stretches_are_joined_in_any_order_and_across_rounding() -> None:
    # two computations of one crossing differ by less than the resolution of any machine
    for off in (1e-5, -1e-5):
        ends = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
        parts = [
            Line(Point(ax + off, ay - off), Point(bx, by))
            for (ax, ay), (bx, by) in zip(ends, ends[1:] + ends[:1], strict=True)
        ]
        rings = stitched([parts[0], parts[2], parts[3], parts[1]])
        assert [area(ring) for ring in rings] == pytest.approx([100.0], abs=1e-3)
        assert [len(ring.vertices) for ring in rings] == [4]


def test_an_open_row_of_stretches_is_a_fault() -> None:
    ring = rectangle(0, 0, 10, 10)
    with pytest.raises(InternalError, match="no successor"):
        stitched(lines(ring)[:3])


def test_stretches_of_one_line_or_circle_become_one() -> None:
    # half a disc whose stretches begin in the middle of its side, and whose arc is in three
    ends = [10.0 * complex(math.cos(k * math.pi / 3), math.sin(k * math.pi / 3)) for k in range(4)]
    points = [Point(end.real, end.imag) for end in ends]
    third = math.tan(math.pi / 12)
    arcs: list[Segment] = [Arc(points[k], points[k + 1], third) for k in range(3)]
    middle = Point(0.0, 0.0)
    half = [Line(middle, points[0]), *arcs, Line(points[3], middle)]
    (ring,) = stitched(half)
    assert len(ring.vertices) == 2
    assert area(ring) == pytest.approx(50.0 * math.pi)
    # no segment holds more than half a circle
    (whole,) = stitched([*arcs, Arc(points[3], points[0], 1.0)])
    assert len(whole.vertices) == 2
    assert area(whole) == pytest.approx(100.0 * math.pi)


@pytest.mark.parametrize("second", [-math.tan(math.pi / 8), math.tan(math.pi / 8)])
def test_arcs_of_two_circles_stay_two(second: float) -> None:
    # a quarter of 10 mm runs smoothly into one of 20 mm, or of 10 mm the other way round
    join = Point(10.0, 10.0)
    end = Point(20.0, 20.0) if second < 0.0 else Point(-10.0, 30.0)
    quarter = math.tan(math.pi / 8)
    parts = [Arc(Point(0.0, 0.0), join, quarter), Arc(join, end, second)]
    (ring,) = stitched([*parts, Line(end, Point(-40.0, 20.0)), Line(Point(-40, 20), Point(0, 0))])
    assert len(ring.vertices) == 4


def test_a_stretch_of_no_length_to_speak_of_bounds_nothing() -> None:
    # 0.01 um: its ends are one place
    for ring in stitched([Line(Point(0.0, 0.0), Point(1e-5, 0.0))]):
        assert area(ring) == 0.0


def test_the_leftmost_of_two_stretches_at_a_point_is_taken() -> None:
    # two triangles whose tips touch: from 0 to 2 rad and from -0.54 to -0.14 rad, sides of 10 mm;
    # derived: 50 sin 2 and 50 sin 0.4; the other triangle is 0.54 rad farther to the right
    tip = Point(0.0, 0.0)
    a, b, c, d = (
        Point(10 * math.cos(angle), 10 * math.sin(angle)) for angle in (0.0, 2.0, -0.54, -0.14)
    )
    ends = [(a, b), (tip, c), (c, d), (d, tip), (b, tip), (tip, a)]
    rings = stitched([Line(start, end) for start, end in ends])
    areas = [area(ring) for ring in rings]
    assert areas == pytest.approx([50 * math.sin(2.0), 50 * math.sin(0.4)])


def test_every_edge_has_a_width() -> None:
    for widths in ([1.0] * 3, [1.0] * 5):
        with pytest.raises(ValueError, match="zip"):
            move_edges(rectangle(0, 0, 20, 20), widths)


def test_a_ray_through_joints_counts_each_side_once() -> None:
    ring = Outline.of([(0, 0), (10, 0), (20, 0), (20, 20), (10, 20), (0, 20)])
    windings = Windings(ring.segments)
    for x in (0.0, 5.0, 10.0, 15.0):
        assert [windings.at(Point(x, y)) for y in (-5.0, 5.0, 25.0)] == [0, 1, 0]
