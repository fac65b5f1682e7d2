"""Measures the seam allowance of a patch from its two outlines.

Rays from points along every template edge go out at right angles to the patch. A hit counts only on
a patch edge that is parallel (or concentric) there, because otherwise the ray has passed a corner,
and only if no other template edge is nearer, because otherwise the ray has crossed a notch that the
allowance fills. In addition, no point of the patch may be nearer to the template than that.

Source:
    Intersections of a ray with line and circle from their implicit equations; own method, written
    before the offset and independently of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.model.segments import Arc, Line, Segment

#: A straight edge's start and vector, and the vector's part across a ray.
_Crossed: TypeAlias = tuple[float, float, float, float, float]

#: Positions of rays along an edge; irregular, so that no symmetry hides an error.
_SHARES = (0.003, 0.11, 0.27, 0.5, 0.71, 0.93, 0.997)
_FEW_SHARES = (0.05, 0.5, 0.93)
#: Above this many edges fewer rays per edge are used, or the check would cost more than the patch.
_MANY = 200
#: Tolerance of "parallel", rad. A real error of the allowance shows in lengths, not here.
_PARALLEL = 1.0e-6
#: Tolerance at an edge's ends for rounding, as a share of its length.
_ROUNDING = 1.0e-12
_BEFORE, _PAST = -_ROUNDING, 1.0 + _ROUNDING
#: A ray longer than the shortest by this, mm, is checked again.
_OVER = 1.0e-7
#: Tolerance for the side of an arc's chord, as twice an area, mm2.
_ON_CHORD = 1.0e-9


@dataclass(frozen=True)
class MeasuredAllowance:
    """The smallest and largest measured allowance, mm, and the method.

    ``edges`` holds the smallest value at right angles to each template edge.
    """

    min_mm: float
    max_mm: float
    method: str
    edges: Mapping[int, float] = field(default_factory=dict)


def measure_allowance(
    template: Outline, patch: Outline, *, edges: Mapping[int, float] | None = None
) -> MeasuredAllowance:
    """Return the allowance between a template and its patch.

    Units:
        mm, measured at right angles to the template's edges.

    Args:
        template: the finished outline, counter-clockwise.
        patch: the outline around it, counter-clockwise.
        edges: given if allowances differ by edge; the nearest-distance check is then left out,
            because a narrow allowance would hide errors of a wide one.
    """
    shares = _SHARES if len(template.vertices) <= _MANY else _FEW_SHARES
    carriers = _Carriers(patch)
    hits = [
        list(_square_to_arc(part, shares, carriers))
        if isinstance(part, Arc)
        else _square_to_line(part, shares, carriers)
        for part in template.segments
    ]
    shortest = min((length for found in hits for length, _ in found), default=0.0)
    sides = _Sides(template)
    by_edge: dict[int, float] = {}
    most = 0.0
    rays = 0
    for index, lengths in enumerate(hits):
        found = [
            length
            for length, at in lengths
            # Only a longer ray than others can have crossed a notch.
            if edges or length <= shortest + _OVER or sides.distance(at) >= length - _OVER
        ]
        rays += len(found)
        if found:
            by_edge[index] = min(found)
            most = max(most, *found)
    least = min(by_edge.values(), default=0.0)
    method = f"{rays} rays square to {len(by_edge)} of {len(template.vertices)} template edges"
    if not edges:
        near = _nearest(template, patch, sides)
        least = min(least, near)
        method += ", and the distance from points along every patch edge to the template"
    return MeasuredAllowance(least, most, method, by_edge)


class _ArcCarrier:
    """A patch edge that is an arc with precomputed values for rays."""

    __slots__ = ("arc", "centre", "radius")

    def __init__(self, arc: Arc) -> None:
        self.arc, self.centre, self.radius = arc, arc.centre, arc.radius

    def hits(self, x: float, y: float, nx: float, ny: float) -> tuple[float, ...]:
        """Return how far along a ray the edge is met."""
        cx, cy = self.centre.x - x, self.centre.y - y
        along = cx * nx + cy * ny
        off_squared = cx * cx + cy * cy - along * along
        half_squared = self.radius**2 - off_squared
        if half_squared < 0.0:
            return ()
        half = math.sqrt(half_squared)
        return tuple(
            length
            for length in (along - half, along + half)
            if length >= 0.0 and _on_arc(self.arc, Point(x + length * nx, y + length * ny))
        )

    def is_concentric(self, centre: Point) -> bool:
        """Return whether a template arc around this centre has the same centre."""
        return math.dist(centre, self.centre) <= _PARALLEL * (1.0 + self.radius)


class _Carriers:
    """The edges of a patch, which rays meet.

    Most pieces have straight edges, and each ray is tried on all of them, so these are tuples:
    start, vector and, for rays of one direction, what they have across the ray.
    """

    def __init__(self, patch: Outline) -> None:
        self._arcs = [_ArcCarrier(part) for part in patch.segments if isinstance(part, Arc)]
        self._lines = [_row(part) for part in patch.segments if isinstance(part, Line)]

    def across(self, nx: float, ny: float) -> list[_Crossed]:
        """Return the straight edges that rays of a direction can meet."""
        return [
            (x0, y0, dx, dy, across)
            for x0, y0, dx, dy in self._lines
            if (across := nx * dy - ny * dx) != 0.0
        ]

    def first(
        self, lines: Sequence[_Crossed], x: float, y: float, nx: float, ny: float
    ) -> tuple[float, tuple[float, float] | _ArcCarrier | None]:
        """Return how far along a ray the first edge is met, and that edge: an arc or a vector.

        ``lines`` are those of the ray's direction.
        """
        best, nearest = math.inf, None
        for x0, y0, dx, dy, across in lines:
            wx, wy = x0 - x, y0 - y
            if _BEFORE <= (wx * ny - wy * nx) / across <= _PAST:
                along = (wx * dy - wy * dx) / across
                if 0.0 <= along < best:
                    best, nearest = along, (dx, dy)
        if not self._arcs:
            return best, nearest
        found: tuple[float, float] | _ArcCarrier | None = nearest
        for arc in self._arcs:
            for along in arc.hits(x, y, nx, ny):
                if along < best:
                    best, found = along, arc
        return best, found


def _row(line: Line) -> tuple[float, float, float, float]:
    (x, y), end = line.start, line.end
    return x, y, end.x - x, end.y - y


def _square_to_line(
    line: Line, shares: tuple[float, ...], carriers: _Carriers
) -> list[tuple[float, Point]]:
    """Return the distances and positions at which rays from an edge meet a parallel patch edge."""
    direction = line.start_heading
    nx, ny = math.sin(direction), -math.cos(direction)
    lines = carriers.across(nx, ny)
    x0, y0, dx, dy = _row(line)
    found = []
    for share in shares:
        x, y = x0 + share * dx, y0 + share * dy
        best, nearest = carriers.first(lines, x, y, nx, ny)
        if nearest is None or isinstance(nearest, _ArcCarrier):
            continue
        off = math.remainder(math.atan2(nearest[1], nearest[0]) - direction, math.pi)
        if abs(off) <= _PARALLEL:
            found.append((best, Point(x + best * nx, y + best * ny)))
    return found


def _square_to_arc(
    arc: Arc, shares: tuple[float, ...], carriers: _Carriers
) -> Iterator[tuple[float, Point]]:
    """Yield the same for an edge that is an arc, whose rays meet concentric ones."""
    centre = arc.centre
    for share in shares:
        direction = arc.heading_at(share)
        nx, ny = math.sin(direction), -math.cos(direction)
        x, y = arc.point_at(share)
        best, nearest = carriers.first(carriers.across(nx, ny), x, y, nx, ny)
        if isinstance(nearest, _ArcCarrier) and nearest.is_concentric(centre):
            yield best, Point(x + best * nx, y + best * ny)


class _Sides:
    """The edges of a template, to which distances are measured; straight ones are tuples."""

    def __init__(self, template: Outline) -> None:
        self._arcs = [part for part in template.segments if isinstance(part, Arc)]
        self._lines = [
            (x, y, dx, dy, dx * dx + dy * dy)
            for x, y, dx, dy in (_row(part) for part in template.segments if isinstance(part, Line))
        ]

    def distance(self, point: Point) -> float:
        """Return the distance from a point to the nearest edge, mm."""
        px, py = point
        least = min((_distance_to(arc, point) for arc in self._arcs), default=math.inf)
        for x, y, dx, dy, squared in self._lines:
            wx, wy = px - x, py - y
            share = (wx * dx + wy * dy) / squared
            if share <= 0.0:
                away = math.hypot(wx, wy)
            elif share >= 1.0:
                away = math.hypot(wx - dx, wy - dy)
            else:
                away = math.hypot(wx - share * dx, wy - share * dy)
            if away < least:  # noqa: PLR1730 - a call costs as much as all the rest
                least = away
        return least


def _on_arc(arc: Arc, point: Point) -> bool:
    """Return whether a point of the circle lies on the arc, on the far side of its chord."""
    side = (arc.end.x - arc.start.x) * (point.y - arc.start.y) - (arc.end.y - arc.start.y) * (
        point.x - arc.start.x
    )
    return side <= _ON_CHORD if arc.bulge > 0.0 else side >= -_ON_CHORD


def _nearest(template: Outline, patch: Outline, sides: _Sides) -> float:
    """Return the smallest distance from points along the patch to the template, mm."""
    points = [part.point_at(share) for part in patch.segments for share in (0.0, 0.19, 0.5, 0.77)]
    if len(points) * len(template.vertices) > _MANY * _MANY:
        return _nearest_of_many(template, points)
    return min(map(sides.distance, points))


def _nearest_of_many(template: Outline, points: list[Point]) -> float:
    """Return the same with an index of boxes, for outlines of many edges."""
    # Imported here because small pieces never need it.
    from geometry import polygons  # noqa: PLC0415

    tree = polygons.STRtree([polygons.box(*part.bounds()) for part in template.segments])
    least = math.inf
    for point in points:
        spot = polygons.Point(point)
        near = int(tree.nearest(spot))
        reach = _distance_to(template.segments[near], point)
        for other in tree.query(spot, predicate="dwithin", distance=reach):
            reach = min(reach, _distance_to(template.segments[int(other)], point))
        least = min(least, reach)
    return least


def _distance_to(part: Segment, point: Point) -> float:
    """Return the distance from a point to a segment, mm."""
    if isinstance(part, Arc):
        centre, radius = part.centre, part.radius
        away = math.dist(centre, point)
        if away > 0.0:
            scale = radius / away
            foot = Point(
                centre.x + scale * (point.x - centre.x), centre.y + scale * (point.y - centre.y)
            )
            if _on_arc(part, foot):
                return abs(away - radius)
        return min(math.dist(part.start, point), math.dist(part.end, point))
    dx, dy = part.end.x - part.start.x, part.end.y - part.start.y
    share = ((point.x - part.start.x) * dx + (point.y - part.start.y) * dy) / (dx * dx + dy * dy)
    share = min(1.0, max(0.0, share))
    return math.hypot(point.x - part.start.x - share * dx, point.y - part.start.y - share * dy)
