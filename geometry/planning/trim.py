"""Cuts pieces off at a straight line, with exact lines and arcs."""

from __future__ import annotations

import itertools
import math

from geometry.errors import InternalError
from geometry.measure import corner_turns, winding
from geometry.model.outline import Outline, Vertex
from geometry.model.points import Point
from geometry.model.segments import Arc, Bounds, Segment

#: Points within this distance of the line, relative to the piece's size, lie on it: the lines pass
#: through corners, which are computed to about 1e-15 of the size.
_ON = 1e-9
#: Factor for arcs that end tangent to the line.
_TANGENT = 1e3
#: A tip that closes to less than this, rad, is a cusp, and is opened by ``_OPENED``: otherwise
#: negative rounding could turn it inside out. On a piece of 100 mm that is 1e-8 mm.
_CUSP, _OPENED = 1e-6, 2e-10


def cut_off(outline: Outline, axis: int, line: float, side: int) -> Outline:
    """Return the part of a piece on one side of a vertical or horizontal line.

    Args:
        outline: outline of the piece; the line crosses it twice.
        axis: 0 when the line is x = ``line``, 1 when it is y = ``line``.
        line: position of the line, mm.
        side: 1 to keep the part with larger coordinates, -1 for the smaller.

    Raises:
        InternalError: when the line cuts the piece into more than two parts.
    """
    box = outline.bounds
    near = _ON * max(box.width, box.height)
    kept: list[Segment] = []
    for part in outline.segments:
        shares = [0.0, *_crossings(part, axis, line, near), 1.0]
        for first, last in itertools.pairwise(shares):
            piece = part.between(first, last)
            if side * (piece.point_at(0.5)[axis] - line) > near:
                kept.append(piece)
    return _closed(kept, near)


def overlaps(outline: Outline, box: Bounds) -> bool:
    """Return whether a piece and an axis-parallel rectangle overlap.

    Boxes can overlap even if the pieces do not: a diamond is clear of a corner that its box covers.
    """
    near = _ON * max(outline.bounds.width, outline.bounds.height)
    lines = ((0, box.left), (0, box.right), (1, box.bottom), (1, box.top))
    for part in outline.segments:
        inner = sorted(
            share for axis, line in lines for share in _crossings(part, axis, line, near)
        )
        for first, last in itertools.pairwise([0.0, *inner, 1.0]):
            x, y = part.point_at((first + last) / 2.0)
            if box.left + near < x < box.right - near and box.bottom + near < y < box.top - near:
                return True
    # No edge of the piece lies inside: it covers the rectangle, or does not overlap it.
    middle = Point((box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0)
    return winding(outline, middle) != 0


def _crossings(part: Segment, axis: int, line: float, near: float) -> list[float]:
    """Return the shares at which a segment crosses the line, without its ends."""
    if isinstance(part, Arc):
        shares = _arc_crossings(part, axis, line)
    else:
        reach = part.end[axis] - part.start[axis]
        shares = [(line - part.start[axis]) / reach] if abs(reach) > near else []
    # If an arc ends tangent to the line, the crossing is accurate to half the digits only.
    edge = _TANGENT * near / part.length
    return sorted(share for share in shares if edge < share < 1.0 - edge)


def _arc_crossings(part: Arc, axis: int, line: float) -> list[float]:
    offset = (line - part.centre[axis]) / part.radius
    if abs(offset) >= 1.0:
        return []
    # Angles of the circle's points with this coordinate.
    if axis == 0:
        angles = [math.acos(offset), -math.acos(offset)]
    else:
        angles = [math.asin(offset), math.pi - math.asin(offset)]
    begin = math.atan2(part.start.y - part.centre.y, part.start.x - part.centre.x)
    turn = math.copysign(math.tau, part.sweep)
    return [
        ((angle - begin) * math.copysign(1.0, turn) % math.tau) / abs(part.sweep)
        for angle in angles
    ]


def _closed(kept: list[Segment], near: float) -> Outline:
    """Return the ring of segments in order, with lines across gaps."""
    vertices: list[Vertex] = []
    gaps = 0
    for index, part in enumerate(kept):
        vertices.append(Vertex(part.start.x, part.start.y, part.bulge))
        following = kept[(index + 1) % len(kept)]
        apart = math.dist(part.end, following.start)
        if apart > near:
            gaps += 1
            vertices.append(Vertex(part.end.x, part.end.y))
    if gaps != 1:
        raise InternalError(f"A line was to cut a piece once; it left {gaps} gaps.")
    return _opened(Outline(_without_needless(vertices, near)))


def _opened(outline: Outline) -> Outline:
    """Open cusps where an arc ends along the cut; no cut leaves a hollow corner."""
    vertices = list(outline.vertices)
    for index, turn in enumerate(corner_turns(outline)):
        if math.pi - abs(turn) > _CUSP:
            continue
        # One edge of the cusp is the arc; increasing its sweep opens the cusp.
        at = index if vertices[index].bulge else index - 1
        sweep = 4.0 * math.atan(vertices[at].bulge) + 2.0 * _OPENED
        vertices[at] = vertices[at]._replace(bulge=math.tan(sweep / 4.0))
    return Outline(tuple(vertices))


def _without_needless(vertices: list[Vertex], near: float) -> tuple[Vertex, ...]:
    """Drop corners within straight edges, which the cut may leave."""
    kept: list[Vertex] = []
    for index, here in enumerate(vertices):
        before, after = vertices[index - 1], vertices[(index + 1) % len(vertices)]
        straight = before.bulge == 0.0 and here.bulge == 0.0
        lean = (here.x - before.x) * (after.y - here.y) - (here.y - before.y) * (after.x - here.x)
        span = math.dist(before[:2], after[:2])
        if straight and abs(lean) <= near * span:
            continue
        kept.append(here)
    return tuple(kept)
