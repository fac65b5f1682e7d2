"""Areas, lengths and angles of outlines, in closed form for lines and arcs."""

from __future__ import annotations

import math
from collections.abc import Sequence

from geometry.model.outline import Chain, Outline, has_arcs
from geometry.model.points import Point, cross, distance, points_of, turn_between
from geometry.model.segments import Arc, Line, Segment
from geometry.tolerance import SMOOTH_TURN

#: Below this half sweep, rad, ``x - sin x`` is calculated as a series: the direct difference loses
#: 6 eps / x^2 of its value, 1e-12 at this bound.
_SERIES_BELOW = 0.05


def _sliver(segment: Segment) -> float:
    """Return the signed area between an arc and its chord, mm2, positive when it bulges out."""
    if isinstance(segment, Line):
        return 0.0
    sweep = abs(segment.sweep)
    if sweep < _SERIES_BELOW:
        excess = sweep**3 / 6.0 * (1.0 - sweep**2 / 20.0 * (1.0 - sweep**2 / 42.0))
    else:
        excess = sweep - math.sin(sweep)
    chord = distance(segment.start, segment.end)
    area = chord**2 / (8.0 * math.sin(sweep / 2.0) ** 2) * excess
    return math.copysign(area, segment.bulge)


def area(outline: Outline) -> float:
    """Return the signed area, mm2, positive when the outline runs counter-clockwise.

    Source:
        Shoelace formula plus circular segments ``r^2 (s - sin s) / 2``; own derivation of the chord
        form, checked against closed forms in tests/reference.
    """
    # Relative to the first vertex: far from the origin the plain shoelace sum cancels.
    vertices = outline.vertices
    ox, oy, _ = vertices[0]
    parts = []
    for (x, y, bulge), (u, v, _) in zip(vertices, (*vertices[1:], vertices[0]), strict=True):
        parts.append(((x - ox) * (v - oy) - (y - oy) * (u - ox)) / 2.0)
        if bulge:
            parts.append(_sliver(Arc(Point(x, y), Point(u, v), bulge)))
    return math.fsum(parts)


def perimeter(path: Outline | Chain) -> float:
    """Return the length of all segments, mm."""
    return math.fsum(part.length for part in path.segments)


def corner_turns(outline: Outline) -> tuple[float, ...]:
    """Return the turn at each vertex, rad in (-pi, pi], left (convex) positive.

    Shape:
        One value per vertex, in order. A smooth joint turns 0; a cusp turns pi.
    """
    segments = outline.segments
    return tuple(
        turn_between(segments[index - 1].end_heading, segments[index].start_heading)
        for index in range(len(segments))
    )


def sharp_angles_deg(outline: Outline) -> list[float]:
    """Return the inside angles in order, degrees, without those of smooth joints."""
    return [
        math.degrees(math.pi - turn) for turn in corner_turns(outline) if abs(turn) > SMOOTH_TURN
    ]


def centroid(outline: Outline) -> Point:
    """Return the centre of area.

    Raises:
        ZeroDivisionError: never for a valid outline; its area is not zero.
    """
    vertices = outline.vertices
    ox, oy, _ = vertices[0]
    total, mx, my = [], [], []
    for (x, y, bulge), (u, v, _) in zip(vertices, (*vertices[1:], vertices[0]), strict=True):
        ax, ay, bx, by = x - ox, y - oy, u - ox, v - oy
        triangle = (ax * by - ay * bx) / 2.0
        total.append(triangle)
        mx.append(triangle * (ax + bx) / 3.0)
        my.append(triangle * (ay + by) / 3.0)
        if bulge:
            part = Arc(Point(x, y), Point(u, v), bulge)
            sliver = _sliver(part)
            half = abs(part.sweep) / 2.0
            # The centroid of a circular segment lies on its axis, away from the centre.
            reach = _segment_reach(part.radius, half)
            middle = part.point_at(0.5)
            centre = part.centre
            scale = reach / part.radius
            total.append(sliver)
            mx.append(sliver * (centre.x + (middle.x - centre.x) * scale - ox))
            my.append(sliver * (centre.y + (middle.y - centre.y) * scale - oy))
    whole = math.fsum(total)
    return Point(ox + math.fsum(mx) / whole, oy + math.fsum(my) / whole)


def _segment_reach(radius: float, half: float) -> float:
    """Return the distance from the centre to the centroid of a segment of half sweep ``half``.

    Source:
        4 r sin^3(h) / (3 (2h - sin 2h)); the limit for small h is r.
    """
    if half < _SERIES_BELOW / 2.0:
        return radius * (1.0 - 3.0 * half**2 / 10.0)
    return 4.0 * radius * math.sin(half) ** 3 / (3.0 * (2.0 * half - math.sin(2.0 * half)))


def winding(outline: Outline, point: Point) -> int:
    """Return the winding number of the outline about a point that does not lie on it.

    Shape:
        1 inside and 0 outside for a counter-clockwise simple outline.
    """
    total = 0.0
    for part in outline.segments:
        total += _turn_seen(part, point)
    return round(total / math.tau)


def _turn_seen(part: Segment, point: Point) -> float:
    """Return the signed angle of a segment as seen from a point, rad."""
    a = math.atan2(part.start.y - point.y, part.start.x - point.x)
    b = math.atan2(part.end.y - point.y, part.end.x - point.x)
    seen = math.remainder(b - a, math.tau)
    if isinstance(part, Arc) and _in_sliver(part, point):
        # From between chord and arc, the angle is the longer way round.
        seen += math.copysign(math.tau, part.bulge) if (seen < 0.0) == (part.bulge > 0.0) else 0.0
    return seen


def _in_sliver(arc: Arc, point: Point) -> bool:
    side = cross(arc.start, arc.end, point)
    # From the chord itself, the angle is half a turn, in the arc's direction.
    outside_chord = side <= 0.0 if arc.bulge > 0.0 else side >= 0.0
    return outside_chord and distance(arc.centre, point) < arc.radius


def sampled(outline: Outline, spacing: float) -> list[Point]:
    """Return points along the outline, at most ``spacing`` mm apart, including all vertices.

    Shape:
        In order from the first vertex; the first is not repeated at the end.
    """
    points: list[Point] = []
    for part in outline.segments:
        count = max(1, math.ceil(part.length / spacing))
        points.extend(part.point_at(step / count) for step in range(count))
    return points


def flattened(path: Outline | Chain, chord: float) -> list[Point]:
    """Return the vertices of a polyline within ``chord`` mm of the path.

    Shape:
        In order; for an outline the first is not repeated, for a chain the last point is
        included. Points lie on the path, so a convex outline comes out smaller by up to ``chord``.

    Tolerance:
        ``chord`` bounds the distance between arc and chord; cost grows as its inverse root.
    """
    if not has_arcs(path.vertices):
        return points_of([(x, y) for x, y, _ in path.vertices])
    points: list[Point] = []
    for part in path.segments:
        points.extend(flattened_segment(part, chord))
    if isinstance(path, Chain):
        points.append(path.vertices[-1].point)
    return points


def flattened_segment(part: Segment, chord: float) -> Sequence[Point]:
    """Return the start and the inner points of a segment's polyline, without its end."""
    if isinstance(part, Line):
        return (part.start,)
    # The rise of a chord over an angle t is r (1 - cos(t/2)).
    ratio = min(1.0, chord / part.radius)
    step = 2.0 * math.acos(1.0 - ratio) if ratio < 1.0 else math.pi
    count = max(1, math.ceil(abs(part.sweep) / max(step, 1e-6)))
    return [part.start, *(part.point_at(index / count) for index in range(1, count))]
