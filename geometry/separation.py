"""Exact distances between outlines, including arcs.

Source:
    The smallest distance between two segments is at an end of one, at the foot of a centre on a
    line, or along the line of two centres; elementary.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from operator import itemgetter

from geometry.intersect import meet, share_on_arc
from geometry.measure import winding
from geometry.model.outline import Outline
from geometry.model.points import Point, distance
from geometry.model.segments import Arc, Line, Segment
from geometry.tolerance import SAME_POINT

#: Segments whose boxes are this far apart, mm, meet nowhere, ends that count as one included.
_NO_MEETING = 4.0 * SAME_POINT


def separation(first: Outline, second: Outline, *, enough: float = math.inf) -> float:
    """Return the distance between two simple outlines, mm; 0 if they touch or overlap.

    Args:
        first: a counter-clockwise outline.
        second: another.
        enough: pairs of edges whose boxes are farther apart than this are skipped; the result is
            then at most ``enough``.
    """
    least = enough
    # The nearest boxes first: what they find spares most of the others.
    for gap, part, other in sorted(_near_pairs(first, second, enough), key=itemgetter(0)):
        if gap > least:
            break
        apart = gap > _NO_MEETING
        least = min(least, _nearest(part, other) if apart else segment_distance(part, other))
        if least <= 0.0:
            return 0.0
    if contains(first, second.vertices[0].point) or contains(second, first.vertices[0].point):
        return 0.0
    return least


def _near_pairs(
    first: Outline, second: Outline, enough: float
) -> Iterator[tuple[float, Segment, Segment]]:
    """Yield the segments whose boxes are no farther apart than ``enough``, after how far."""
    others = list(zip(second.segments, second.boxes, strict=True))
    for part, (left, bottom, right, top) in zip(first.segments, first.boxes, strict=True):
        for other, near in others:
            across = max(0.0, left - near[2], near[0] - right)
            # Most are too far apart either way: this is done for every pair.
            if across > enough:
                continue
            gap = math.hypot(across, max(0.0, bottom - near[3], near[1] - top))
            if gap <= enough:
                yield gap, part, other


def contains(outline: Outline, point: Point) -> bool:
    """Return whether a point lies inside an outline; undefined for points on it."""
    box = outline.bounds
    if not (box.left <= point.x <= box.right and box.bottom <= point.y <= box.top):
        return False
    return winding(outline, point) != 0


def segment_distance(first: Segment, second: Segment) -> float:
    """Return the smallest distance between two segments, mm."""
    return 0.0 if meet(first, second).crossings else _nearest(first, second)


def _nearest(first: Segment, second: Segment) -> float:
    """Return the smallest distance between two segments that do not meet, mm."""
    least = min(
        point_distance(second, first.start),
        point_distance(second, first.end),
        point_distance(first, second.start),
        point_distance(first, second.end),
    )
    if isinstance(first, Arc) or isinstance(second, Arc):
        least = min(least, *_between(first, second), math.inf)
    return least


def point_distance(part: Segment, point: Point) -> float:
    """Return the smallest distance from a point to a segment, mm."""
    if isinstance(part, Arc):
        if share_on_arc(part, point) is not None:
            return abs(distance(part.centre, point) - part.radius)
        return min(distance(part.start, point), distance(part.end, point))
    dx, dy = part.end.x - part.start.x, part.end.y - part.start.y
    share = ((point.x - part.start.x) * dx + (point.y - part.start.y) * dy) / (dx * dx + dy * dy)
    share = min(1.0, max(0.0, share))
    return math.hypot(point.x - part.start.x - share * dx, point.y - part.start.y - share * dy)


def _between(first: Segment, second: Segment) -> Iterator[float]:
    """Yield candidate distances at inner points of both segments."""
    if isinstance(first, Line) and isinstance(second, Arc):
        yield from _line_and_arc(first, second)
    elif isinstance(first, Arc) and isinstance(second, Line):
        yield from _line_and_arc(second, first)
    elif isinstance(first, Arc) and isinstance(second, Arc):
        ca, cb = first.centre, second.centre
        apart = distance(ca, cb)
        if apart <= SAME_POINT:
            # Concentric arcs have the same distance everywhere.
            if share_on_arc(first, second.point_at(0.5)) is not None:
                yield abs(first.radius - second.radius)
            return
        ux, uy = (cb.x - ca.x) / apart, (cb.y - ca.y) / apart
        for sa in (first.radius, -first.radius):
            for sb in (second.radius, -second.radius):
                on_a = Point(ca.x + sa * ux, ca.y + sa * uy)
                on_b = Point(cb.x - sb * ux, cb.y - sb * uy)
                if share_on_arc(first, on_a) is not None and share_on_arc(second, on_b) is not None:
                    yield distance(on_a, on_b)


def _line_and_arc(line: Line, arc: Arc) -> Iterator[float]:
    dx, dy = line.end.x - line.start.x, line.end.y - line.start.y
    centre = arc.centre
    share = ((centre.x - line.start.x) * dx + (centre.y - line.start.y) * dy) / (dx * dx + dy * dy)
    if 0.0 < share < 1.0:
        foot = line.point_at(share)
        if share_on_arc(arc, foot) is not None:
            yield abs(distance(centre, foot) - arc.radius)
