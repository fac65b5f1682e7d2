"""Moves every edge out by its allowance, without joining corners."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from geometry.model.outline import Outline
from geometry.model.points import Point, distance
from geometry.model.segments import Arc, Line, Segment
from geometry.offset.corners import moved_out
from geometry.tolerance import SHORTEST_EDGE


@dataclass(frozen=True, slots=True)
class MovedEdge:
    """One edge of the template moved out.

    ``segment`` is ``None`` if the offset equals a hollow arc's radius; ``turned_inside_out`` is set
    if it exceeds the radius, and the segment lies on the other side of the centre.
    """

    source: Segment
    width: float
    segment: Segment | None
    turned_inside_out: bool = False


def move_edges(outline: Outline, widths: Sequence[float]) -> list[MovedEdge]:
    """Return every edge moved at right angles to itself by its width, mm, outwards if positive."""
    return [_moved(edge, width) for edge, width in zip(outline.segments, widths, strict=True)]


def _moved(edge: Segment, width: float) -> MovedEdge:
    if isinstance(edge, Arc):
        left = edge.radius + math.copysign(width, width * edge.bulge)
        if abs(left) <= SHORTEST_EDGE:
            return MovedEdge(edge, width, None)
        start, end = _about_centre(edge, left)
        # With the same centre and sweep, the bulge stays the same.
        return MovedEdge(edge, width, Arc(start, end, edge.bulge), turned_inside_out=left < 0.0)
    (ax, ay), (bx, by) = edge.start, edge.end
    share = width / edge.length
    nx, ny = share * (by - ay), share * (ax - bx)
    return MovedEdge(edge, width, Line(Point(ax + nx, ay + ny), Point(bx + nx, by + ny)))


def _about_centre(edge: Arc, radius: float) -> tuple[Point, Point]:
    centre, scale = edge.centre, radius / edge.radius
    if edge.radius > 1e3 * distance(edge.start, edge.end):
        # A far centre loses digits; normals at the ends do not.
        width = math.copysign(radius - edge.radius, (radius - edge.radius) * edge.bulge)
        return (
            moved_out(edge.start, edge.start_heading, width),
            moved_out(edge.end, edge.end_heading, width),
        )
    return (
        Point(
            centre.x + scale * (edge.start.x - centre.x),
            centre.y + scale * (edge.start.y - centre.y),
        ),
        Point(
            centre.x + scale * (edge.end.x - centre.x), centre.y + scale * (edge.end.y - centre.y)
        ),
    )


def all_widths(
    outline: Outline, seam_allowance: float, edges: Mapping[int, float]
) -> tuple[float, ...]:
    """Return the allowance of every edge, mm."""
    return tuple(edges.get(index, seam_allowance) for index in range(len(outline.vertices)))
