"""Joins moved edges at their corners, if all of them keep a positive length."""

from __future__ import annotations

import math
from collections.abc import Sequence

from geometry.intersect import close_pairs, meet
from geometry.model.outline import Outline, Vertex
from geometry.model.points import Point, distance
from geometry.model.segments import Arc, Line, Segment
from geometry.offset.corners import Corners, Treated, corner_vertices, step, treat
from geometry.offset.raw import MovedEdge
from geometry.polygons import is_simple_polygon
from geometry.tolerance import SAME_POINT, SHORTEST_EDGE, SMOOTH_TURN


class LostError(Exception):
    """An edge vanishes or the ring would meet itself; the message says which.

    Used only within this package.
    """


def ways_round(
    outline: Outline,
    moved: Sequence[MovedEdge],
    corners: Sequence[Corners],
    turns: Sequence[float],
) -> list[Treated | None]:
    """Return the path round each vertex, ``None`` where the edges continue or cross.

    Args:
        outline: the outline that was moved.
        moved: its edges.
        corners: the requested treatment of each vertex.
        turns: the turn at each vertex, rad.

    Raises:
        LostError: when the radius of a hollow arc is used up.
    """
    for index, edge in enumerate(moved):
        if edge.segment is None or edge.turned_inside_out:
            radius = edge.source.radius if isinstance(edge.source, Arc) else math.inf
            raise LostError(
                f"Edge {index} is a hollow arc of radius {radius:.4g} mm and an allowance of "
                f"{edge.width:.4g} mm uses it up."
            )
    return [_way(outline, moved, index, turn, corners[index]) for index, turn in enumerate(turns)]


def _way(
    outline: Outline, moved: Sequence[MovedEdge], index: int, turn: float, corners: Corners
) -> Treated | None:
    before, after = moved[index - 1], moved[index]
    widths = (before.width, after.width)
    if widths[0] == widths[1] and (turn <= SMOOTH_TURN or not widths[0]):
        return None
    at = outline.vertices[index].point
    headings = outline.segments[index - 1].end_heading, outline.segments[index].start_heading
    if abs(turn) <= SMOOTH_TURN:
        return step(at, *headings, widths)
    if turn < 0.0:
        # With two allowances, a flat hollow corner is also a step, because the edges never cross.
        return None if _crossings(before, after) else step(at, *headings, widths)
    return treat(at, *headings, widths, corners)


def _crossings(before: MovedEdge, after: MovedEdge) -> list[tuple[float, float]]:
    """Return the shares at which two moved edges cross, the one nearest to their corner last."""
    if before.segment is None or after.segment is None:
        return []
    found = meet(before.segment, after.segment)
    if found.overlap:
        return []
    # Of two crossings, the one nearer to the corner keeps more of both edges.
    return sorted(
        ((c.first, c.second) for c in found.crossings), key=lambda shares: shares[0] - shares[1]
    )


def joined(
    moved: Sequence[MovedEdge], ways: Sequence[Treated | None], turns: Sequence[float]
) -> Outline:
    """Return the ring of moved edges: with treated corners, and crossings at the others.

    Shape:
        Simple and counter-clockwise; the last segment is a line if there is one.

    Raises:
        LostError: when an edge keeps no length or the ring would meet itself.
    """
    parts = _trimmed(moved, ways, turns)
    vertices: list[Vertex] = []
    for index, whole in enumerate(parts):
        part = whole
        way, following = ways[index], ways[(index + 1) % len(ways)]
        if isinstance(part, Arc):
            part = _run_on(index, part, way, following)
        else:
            _require_progress(index, part, way, following)
        if way is not None:
            vertices.extend(corner_vertices(way))
        if way is None or part.bulge:
            # After a treated corner, a straight edge starts at that corner's last vertex.
            vertices.append(Vertex(part.start.x, part.start.y, part.bulge))
        if following is not None and part.bulge:
            # The arc is extended along its end tangent.
            vertices.append(Vertex(part.end.x, part.end.y))
    ring = _line_last(vertices)
    # Edges of a convex outline diverge and cannot meet.
    if any(t < -SMOOTH_TURN for t in turns) or any(edge.source.bulge < 0.0 for edge in moved):
        _require_apart(ring)
    return ring


def _trimmed(
    moved: Sequence[MovedEdge], ways: Sequence[Treated | None], turns: Sequence[float]
) -> list[Segment]:
    """Return the moved edges, trimmed where they cross at hollow corners."""
    first_share, last_share = [0.0] * len(moved), [1.0] * len(moved)
    for index, way in enumerate(ways):
        crosses = way is None and abs(turns[index]) > SMOOTH_TURN
        if crosses and moved[index - 1].width + moved[index].width > 0.0:
            shares = _crossings(moved[index - 1], moved[index])
            if not shares:
                raise LostError(f"The edges at corner {index} no longer meet.")
            last_share[index - 1], first_share[index] = shares[-1]
    parts: list[Segment] = []
    for index, edge in enumerate(moved):
        if edge.segment is None or first_share[index] >= last_share[index]:
            raise LostError(f"Edge {index} vanishes between its neighbours.")
        parts.append(edge.segment.between(first_share[index], last_share[index]))
    return parts


def _require_progress(
    index: int, part: Segment, way: Treated | None, following: Treated | None
) -> None:
    """Raise an error for a straight edge whose treated corners leave it no length or reverse it."""
    start = part.start if way is None else corner_vertices(way)[-1].point
    end = part.end if following is None else following.tip
    dx, dy = part.end.x - part.start.x, part.end.y - part.start.y
    ahead = (end.x - start.x) * dx + (end.y - start.y) * dy
    if ahead <= SHORTEST_EDGE * math.hypot(dx, dy):
        raise LostError(f"Edge {index} vanishes between its neighbours.")


def _ahead(start: Point, end: Point, direction: float) -> float:
    return (end.x - start.x) * math.cos(direction) + (end.y - start.y) * math.sin(direction)


def _run_on(index: int, arc: Arc, way: Treated | None, following: Treated | None) -> Arc:
    """Return an arc extended to its corners, if a line to them would be too short.

    Raises:
        LostError: when a mitre's tip lies behind the end that should be extended to it.
    """
    start, end, more = arc.start, arc.end, 0.0
    if way is not None:
        start = corner_vertices(way)[-1].point
        back = _ahead(arc.start, start, arc.start_heading + math.pi)
        start, more = _reached(index, way, arc.start, start, back)
    if following is not None:
        forth = _ahead(arc.end, following.tip, arc.end_heading)
        end, further = _reached(index, following, arc.end, following.tip, forth)
        more += further
    if not more:
        return arc
    # For such a short distance, the tangent and the circle coincide.
    sweep = arc.sweep + math.copysign(more / arc.radius, arc.bulge)
    return Arc(start, end, max(-1.0, min(1.0, math.tan(sweep / 4.0))))


def _reached(
    index: int, way: Treated, end: Point, corner: Point, ahead: float
) -> tuple[Point, float]:
    if way.cap is None and ahead < -SAME_POINT:
        raise LostError(f"Edge {index} is an arc that a neighbour's wider allowance cuts into.")
    return (corner, ahead) if 0.0 < distance(end, corner) <= SHORTEST_EDGE else (end, 0.0)


def _line_last(vertices: list[Vertex]) -> Outline:
    """Drop vertices that equal the next one, as where an arc is not extended."""
    kept = [
        vertex
        for vertex, following in zip(vertices, vertices[1:] + vertices[:1], strict=True)
        if distance(vertex.point, following.point) > SAME_POINT
    ]
    ring = Outline(tuple(kept))
    for index in range(len(kept)):
        if not kept[index - 1].bulge:
            return ring if index == 0 else ring.started_at(index)
    return ring


def _require_apart(ring: Outline) -> None:
    """Raise an error for a ring whose edges meet other than end to end."""
    corners = ring.vertices
    for index, (x, y, _) in enumerate(corners):
        if math.hypot(x - corners[index - 1].x, y - corners[index - 1].y) < SHORTEST_EDGE:
            raise LostError(f"The edge before corner {index} of the patch has no length left.")
    # The polygon library checks straight edges; other rings are checked edge by edge.
    if not ring.has_arcs and is_simple_polygon(ring):
        return
    parts = ring.segments
    for first, second in close_pairs(parts, SAME_POINT):
        joints = set()
        if second == first + 1:
            joints.add((1.0, 0.0))
        if (second + 1) % len(parts) == first:
            joints.add((0.0, 1.0))
        a, b = parts[first], parts[second]
        if joints and isinstance(a, Line) and isinstance(b, Line):
            continue
        found = meet(a, b)
        where = [c.point for c in found.crossings if (c.first, c.second) not in joints]
        if found.overlap or where:
            x, y = where[0] if where else a.start
            raise LostError(f"The patch would meet itself at ({x:.4g}, {y:.4g}) mm.")
