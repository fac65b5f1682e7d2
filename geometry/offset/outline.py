"""Any simple outline moved out or in: what is left of it, in how many parts, and why.

The patch of a piece (``allowance``) must lose nothing; here edges may vanish, notches close,
necks part, and the outcome says so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.measure import area, corner_turns
from geometry.model.outline import Outline, Vertex
from geometry.model.points import Point, distance
from geometry.model.segments import Arc, Segment
from geometry.offset.corners import Corners, corner_vertices, treat
from geometry.offset.raw import MovedEdge, move_edges
from geometry.offset.slices import bounding_stretches
from geometry.offset.stitch import stitched
from geometry.tolerance import SAME_POINT, SHORTEST_EDGE, SMOOTH_TURN

_USUAL = Corners()
#: A part of less area than this, mm2, is rounding.
_LEAST_PART = 1.0e-6


@dataclass(frozen=True)
class OffsetResult:
    """Outer rings (largest first) and holes, all counter-clockwise, and what happened.

    ``events`` says in words what became of the outline: ``edge 3 vanished``, ``parted in 2``,
    ``closed in on 1 hole``, ``nothing is left``.
    """

    outlines: tuple[Outline, ...]
    holes: tuple[Outline, ...]
    events: tuple[str, ...]


def offset_outline(outline: Outline, by: float, *, corners: Corners = _USUAL) -> OffsetResult:
    """Return a simple, counter-clockwise outline moved by a distance, mm, out when positive.

    Shape:
        Arcs stay arcs. Nothing left is a result with a reason, not an error.

    Args:
        outline: the outline.
        by: the distance; negative moves in.
        corners: treatment of the corners that open: convex ones moving out, hollow ones moving
            in.
    """
    if by == 0.0:
        return OffsetResult((outline,), (), ())
    moved = move_edges(outline, [by] * len(outline.vertices))
    raw = _raw_ring(outline, moved, corners)
    rings = stitched(bounding_stretches(raw)) if len(raw.vertices) > 1 else []
    outer = sorted((r for r in rings if area(r) > _LEAST_PART), key=area, reverse=True)
    holes = sorted((r.reversed() for r in rings if area(r) < -_LEAST_PART), key=area, reverse=True)
    return OffsetResult(tuple(outer), tuple(holes), tuple(_events(moved, outer, holes)))


def _raw_ring(outline: Outline, moved: list[MovedEdge], corners: Corners) -> Outline:
    """Return the moved edges joined: opened corners treated, others by way of the corner itself.

    Going back to the outline's own corner makes a small loop that winds the wrong way round and
    so falls out, whatever else the edges do.
    """
    turns = corner_turns(outline)
    vertices: list[Vertex] = []
    for index, edge in enumerate(moved):
        at = outline.vertices[index]
        opens = turns[index] * edge.width > 0.0
        if abs(turns[index]) > SMOOTH_TURN:
            if opens:
                vertices.extend(_opened(outline, index, edge.width, corners))
            else:
                vertices.append(Vertex(at.x, at.y))
        if edge.segment is not None:
            part = edge.segment
            vertices.append(Vertex(part.start.x, part.start.y, part.bulge))
            vertices.append(Vertex(part.end.x, part.end.y))
    kept = [
        vertex
        for vertex, following in zip(vertices, vertices[1:] + vertices[:1], strict=True)
        if distance(vertex.point, following.point) > SAME_POINT
    ]
    return Outline(tuple(kept))


def _opened(outline: Outline, index: int, width: float, corners: Corners) -> list[Vertex]:
    at = outline.vertices[index].point
    before = outline.segments[index - 1].end_heading
    after = outline.segments[index].start_heading
    if width > 0.0:
        return corner_vertices(treat(at, before, after, (width, width), corners))
    # Moving in, seen from the other side: the ring run backwards moves out there.
    back = treat(at, after + math.pi, before + math.pi, (-width, -width), corners)
    vertices = corner_vertices(back)[::-1]
    bulges = [-vertex.bulge if vertex.bulge else 0.0 for vertex in vertices[1:]] + [0.0]
    return [v._replace(bulge=b) for v, b in zip(vertices, bulges, strict=True)]


def _events(moved: list[MovedEdge], outer: list[Outline], holes: list[Outline]) -> list[str]:
    if not outer:
        return ["nothing is left"]
    told = []
    for index, edge in enumerate(moved):
        if not _survives(edge, (*outer, *holes)):
            told.append(f"edge {index} vanished")
    if len(outer) > 1:
        told.append(f"parted in {len(outer)}")
    if holes:
        told.append(f"closed in on {len(holes)} hole{'s' if len(holes) > 1 else ''}")
    return told


def _survives(edge: MovedEdge, rings: tuple[Outline, ...]) -> bool:
    """Tell whether any of the result lies on a moved edge."""
    part = edge.segment
    if part is None or edge.turned_inside_out:
        return False
    for ring in rings:
        for other in ring.segments:
            if (other.bulge > 0.0) != (part.bulge > 0.0) or bool(other.bulge) != bool(part.bulge):
                continue
            if _runs_along(part, other.point_at(0.5), other.heading_at(0.5)):
                return True
    return False


def _runs_along(part: Segment, point: Point, direction: float) -> bool:
    if isinstance(part, Arc):
        return abs(distance(part.centre, point) - part.radius) <= SHORTEST_EDGE
    heading = part.start_heading
    off = (point.x - part.start.x) * math.sin(heading) - (point.y - part.start.y) * math.cos(
        heading
    )
    return abs(off) <= SHORTEST_EDGE and math.cos(heading - direction) > 0.0
