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
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.model.segments import Arc, Line, Segment

#: Positions of rays along an edge; irregular, so that no symmetry hides an error.
_SHARES = (0.003, 0.11, 0.27, 0.5, 0.71, 0.93, 0.997)
_FEW_SHARES = (0.05, 0.5, 0.93)
#: Above this many edges fewer rays per edge are used, or the check would cost more than the patch.
_MANY = 200
#: Tolerance of "parallel", rad. A real error of the allowance shows in lengths, not here.
_PARALLEL = 1.0e-6
#: Tolerance at an edge's ends for rounding, as a share of its length.
_ROUNDING = 1.0e-12
#: A ray longer than the shortest by this, mm, is checked again.
_OVER = 1.0e-7
#: Tolerance for the side of an arc's chord, as twice an area, mm2.
_ON_CHORD = 1.0e-9


@dataclass(frozen=True)
class Measured:
    """The smallest and largest measured allowance, mm, and the method.

    ``edges`` holds the smallest value at right angles to each template edge.
    """

    least: float
    most: float
    method: str
    edges: Mapping[int, float] = field(default_factory=dict)


def measure_allowance(
    template: Outline, patch: Outline, *, edges: Mapping[int, float] | None = None
) -> Measured:
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
    carriers: list[_Carrier] = [
        _ArcCarrier(part) if isinstance(part, Arc) else _LineCarrier(part)
        for part in patch.segments
    ]
    hits = [list(_square_to(part, shares, carriers)) for part in template.segments]
    shortest = min((length for found in hits for length, _ in found), default=0.0)
    by_edge: dict[int, float] = {}
    most = 0.0
    rays = 0
    for index, lengths in enumerate(hits):
        found = [
            length
            for length, at in lengths
            # Only a longer ray than others can have crossed a notch.
            if edges or length <= shortest + _OVER or _is_foot(length, at, template)
        ]
        rays += len(found)
        if found:
            by_edge[index] = min(found)
            most = max(most, *found)
    least = min(by_edge.values(), default=0.0)
    method = f"{rays} rays square to {len(by_edge)} of {len(template.vertices)} template edges"
    if not edges:
        near = _nearest(template, patch)
        least = min(least, near)
        method += ", and the distance from points along every patch edge to the template"
    return Measured(least, most, method, by_edge)


class _LineCarrier:
    """A straight patch edge with precomputed values for rays."""

    __slots__ = ("dx", "dy", "heading", "x", "y")

    def __init__(self, line: Line) -> None:
        self.x, self.y = line.start
        self.dx, self.dy = line.end.x - line.start.x, line.end.y - line.start.y
        self.heading = math.atan2(self.dy, self.dx)

    def hits(self, x: float, y: float, nx: float, ny: float) -> tuple[float, ...]:
        """Return how far along a ray the edge is met."""
        across = nx * self.dy - ny * self.dx
        if across == 0.0:
            return ()
        wx, wy = self.x - x, self.y - y
        share = (wx * ny - wy * nx) / across
        if not -_ROUNDING <= share <= 1.0 + _ROUNDING:
            return ()
        along = (wx * self.dy - wy * self.dx) / across
        return (along,) if along >= 0.0 else ()

    def is_parallel(self, direction: float, centre: Point | None) -> bool:
        """Return whether a template edge of this direction is parallel; an arc never is."""
        off = abs(math.remainder(self.heading - direction, math.pi))
        return centre is None and off <= _PARALLEL


class _ArcCarrier:
    """A patch edge that is an arc, likewise."""

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

    def is_parallel(self, direction: float, centre: Point | None) -> bool:  # noqa: ARG002 - see above
        """Return whether a template arc around this centre is concentric; a line never is."""
        reach = _PARALLEL * (1.0 + self.radius)
        return centre is not None and math.dist(centre, self.centre) <= reach


_Carrier: TypeAlias = _LineCarrier | _ArcCarrier


def _square_to(
    part: Segment, shares: tuple[float, ...], carriers: list[_Carrier]
) -> Iterator[tuple[float, Point]]:
    """Yield the distance and position at which rays from an edge meet a parallel patch edge."""
    centre = part.centre if isinstance(part, Arc) else None
    for share in shares:
        origin, direction = part.point_at(share), part.heading_at(share)
        nx, ny = math.sin(direction), -math.cos(direction)
        best, nearest = math.inf, None
        for carrier in carriers:
            for length in carrier.hits(origin.x, origin.y, nx, ny):
                if length < best:
                    best, nearest = length, carrier
        if nearest is not None and nearest.is_parallel(direction, centre):
            yield best, Point(origin.x + best * nx, origin.y + best * ny)


def _is_foot(length: float, at: Point, template: Outline) -> bool:
    """Return whether no template edge is nearer to a hit than the ray's own edge."""
    return all(_distance_to(part, at) >= length - _OVER for part in template.segments)


def _on_arc(arc: Arc, point: Point) -> bool:
    """Return whether a point of the circle lies on the arc, on the far side of its chord."""
    side = (arc.end.x - arc.start.x) * (point.y - arc.start.y) - (arc.end.y - arc.start.y) * (
        point.x - arc.start.x
    )
    return side <= _ON_CHORD if arc.bulge > 0.0 else side >= -_ON_CHORD


def _nearest(template: Outline, patch: Outline) -> float:
    """Return the smallest distance from points along the patch to the template, mm."""
    points = [part.point_at(share) for part in patch.segments for share in (0.0, 0.19, 0.5, 0.77)]
    if len(points) * len(template.vertices) > _MANY * _MANY:
        return _nearest_of_many(template, points)
    return min(_distance_to(part, point) for point in points for part in template.segments)


def _nearest_of_many(template: Outline, points: list[Point]) -> float:
    """Return the same with an index of boxes, for outlines of many edges."""
    # Imported here because small pieces never need it.
    from shapely import Point as Spot  # noqa: PLC0415
    from shapely import STRtree, box  # noqa: PLC0415

    tree = STRtree([box(*part.bounds()) for part in template.segments])
    least = math.inf
    for point in points:
        spot = Spot(point)
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
