"""Intersections of segments: single points, common stretches, or none.

Source:
    Line and circle intersections from their implicit equations; elementary. Shares along a segment
    are used instead of coordinates, to distinguish ends from inner points.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from geometry.model.points import Point, distance
from geometry.model.segments import Arc, Line, Segment
from geometry.tolerance import SAME_POINT


class Crossing(NamedTuple):
    """A common point and its share (0 to 1) of the length of each segment."""

    first: float
    second: float
    point: Point


@dataclass(frozen=True, slots=True)
class Meeting:
    """The intersection of two segments; ``overlap`` if they have a common stretch."""

    crossings: tuple[Crossing, ...] = ()
    overlap: bool = False


NOWHERE = Meeting()


def meet(first: Segment, second: Segment) -> Meeting:
    """Return the intersection of two segments.

    Tolerance:
        Points within ``SAME_POINT`` mm of a segment's end count as that end, with the share
        exactly 0 or 1.
    """
    if isinstance(first, Line):
        if isinstance(second, Line):
            return _line_line(first, second)
        return _line_arc(first, second)
    if isinstance(second, Line):
        turned = _line_arc(second, first)
        return Meeting(
            tuple(Crossing(c.second, c.first, c.point) for c in turned.crossings), turned.overlap
        )
    return _arc_arc(first, second)


def share_on_line(line: Line, point: Point) -> float | None:
    """Return the share of a line at the foot of a point, or ``None`` beyond its ends."""
    dx, dy = line.end.x - line.start.x, line.end.y - line.start.y
    squared = dx * dx + dy * dy
    share = ((point.x - line.start.x) * dx + (point.y - line.start.y) * dy) / squared
    return _within(share, math.sqrt(squared))


def share_on_arc(arc: Arc, point: Point) -> float | None:
    """Return the share of an arc in the direction of a point, or ``None`` outside its sweep."""
    centre, radius, sweep, begin = arc.circle
    turn = math.atan2(point.y - centre.y, point.x - centre.x) - begin
    turn = turn % math.tau if sweep > 0.0 else -((-turn) % math.tau)
    slack = SAME_POINT / radius
    if abs(turn) > math.tau - slack:
        turn = 0.0
    return _within(turn / sweep, abs(sweep) * radius)


def _share_on(part: Segment, point: Point) -> float | None:
    return share_on_arc(part, point) if isinstance(part, Arc) else share_on_line(part, point)


def _within(share: float, length: float) -> float | None:
    slack = SAME_POINT / length
    if abs(share) <= slack:
        return 0.0
    if abs(share - 1.0) <= slack:
        return 1.0
    return share if 0.0 < share < 1.0 else None


def _line_line(a: Line, b: Line) -> Meeting:
    ax, ay = a.end.x - a.start.x, a.end.y - a.start.y
    bx, by = b.end.x - b.start.x, b.end.y - b.start.y
    wx, wy = b.start.x - a.start.x, b.start.y - a.start.y
    cross = ax * by - ay * bx
    long_a, long_b = math.hypot(ax, ay), math.hypot(bx, by)
    # Parallel if the far end of the shorter one is within a point's size of the other's direction.
    if abs(cross) <= SAME_POINT * max(long_a, long_b):
        if abs(ax * wy - ay * wx) > SAME_POINT * long_a:
            return NOWHERE
        return _along(a, b)
    t = _within((wx * by - wy * bx) / cross, long_a)
    u = _within((wx * ay - wy * ax) / cross, long_b)
    if t is None or u is None:
        return NOWHERE
    return Meeting((Crossing(t, u, _point(a, b, t, u)),))


def _point(a: Segment, b: Segment, t: float, u: float) -> Point:
    """Return a crossing's point; if it is an end of a segment, exactly that end."""
    for part, share in ((a, t), (b, u)):
        if share == 0.0:
            return part.start
        if share == 1.0:
            return part.end
    return a.point_at(t)


def _along(a: Segment, b: Segment) -> Meeting:
    """Return the intersection of two segments on one carrier: a stretch, one end, or none."""
    found: list[Crossing] = []
    for end, at in ((b.start, 0.0), (b.end, 1.0)):
        on_a = _share_on(a, end)
        if on_a is not None:
            found.append(Crossing(on_a, at, end))
    for end, at in ((a.start, 0.0), (a.end, 1.0)):
        on_b = _share_on(b, end)
        if on_b is not None and not any(distance(c.point, end) <= SAME_POINT for c in found):
            found.append(Crossing(at, on_b, end))
    if not found:
        return NOWHERE
    apart = max(distance(c.point, d.point) for c in found for d in found)
    if apart > SAME_POINT:
        return Meeting(tuple(sorted(found)), overlap=_shares_stretch(a, b, found))
    return Meeting((found[0],))


def _shares_stretch(a: Segment, b: Segment, found: list[Crossing]) -> bool:
    """Return whether there is a common stretch, not two arcs that only share both ends."""
    if isinstance(a, Line):
        return True
    ordered = sorted(found)
    for one, other in itertools.pairwise(ordered):
        middle = a.point_at((one.first + other.first) / 2.0)
        if isinstance(b, Arc) and share_on_arc(b, middle) is not None:
            return True
    return False


def _on_circle(line: Line, centre: Point, radius: float) -> Iterator[Point]:
    """Yield the points of the line's carrier on a circle; for a near tangent only its foot."""
    dx, dy = line.end.x - line.start.x, line.end.y - line.start.y
    length = math.hypot(dx, dy)
    ux, uy = dx / length, dy / length
    along = (centre.x - line.start.x) * ux + (centre.y - line.start.y) * uy
    foot = Point(line.start.x + along * ux, line.start.y + along * uy)
    off = distance(foot, centre)
    if off > radius + SAME_POINT:
        return
    half = math.sqrt(max(0.0, (radius - off) * (radius + off)))
    if radius - off <= SAME_POINT and half * half <= 2.0 * radius * SAME_POINT:
        yield foot
        return
    yield Point(foot.x - half * ux, foot.y - half * uy)
    yield Point(foot.x + half * ux, foot.y + half * uy)


def _line_arc(line: Line, arc: Arc) -> Meeting:
    found: list[Crossing] = []
    for point in _on_circle(line, arc.centre, arc.radius):
        t, u = share_on_line(line, point), share_on_arc(arc, point)
        if t is not None and u is not None:
            found.append(Crossing(t, u, _point(line, arc, t, u)))
    return Meeting(tuple(sorted([*found, *_shared_ends(line, arc, found)])))


def _shared_ends(a: Segment, b: Segment, found: Sequence[Crossing]) -> list[Crossing]:
    """Return coinciding ends that were missed, as at a tangent joint far from a foot."""
    missed = []
    for end_a, at_a in ((a.start, 0.0), (a.end, 1.0)):
        for end_b, at_b in ((b.start, 0.0), (b.end, 1.0)):
            if distance(end_a, end_b) <= SAME_POINT and not any(
                distance(c.point, end_a) <= 2.0 * SAME_POINT for c in found
            ):
                missed.append(Crossing(at_a, at_b, end_a))
    return missed


def _arc_arc(a: Arc, b: Arc) -> Meeting:
    ca, cb, ra, rb = a.centre, b.centre, a.radius, b.radius
    apart = distance(ca, cb)
    if apart <= SAME_POINT and abs(ra - rb) <= SAME_POINT:
        return _along(a, b)
    found: list[Crossing] = []
    for point in _on_circles(ca, ra, cb, rb, apart):
        t, u = share_on_arc(a, point), share_on_arc(b, point)
        if t is not None and u is not None:
            found.append(Crossing(t, u, _point(a, b, t, u)))
    return Meeting(tuple(sorted([*found, *_shared_ends(a, b, found)])))


def _on_circles(ca: Point, ra: float, cb: Point, rb: float, apart: float) -> Iterator[Point]:
    if apart > ra + rb + SAME_POINT or apart < abs(ra - rb) - SAME_POINT or apart == 0.0:
        return
    ux, uy = (cb.x - ca.x) / apart, (cb.y - ca.y) / apart
    along = (apart * apart + (ra - rb) * (ra + rb)) / (2.0 * apart)
    squared = (ra - along) * (ra + along)
    foot = Point(ca.x + along * ux, ca.y + along * uy)
    if squared <= 2.0 * min(ra, rb) * SAME_POINT:
        yield foot
        return
    half = math.sqrt(squared)
    yield Point(foot.x + half * uy, foot.y - half * ux)
    yield Point(foot.x - half * uy, foot.y + half * ux)


def close_pairs(boxes: Sequence[Segment], slack: float) -> Iterator[tuple[int, int]]:
    """Yield index pairs (lower first) of segments whose boxes come within ``slack`` mm.

    Shape:
        Sorted by the start of the later one of a pair along x or y, the axis along which the boxes
        are shorter; a sweep, so about n log n for ordinary outlines. A comb of thousands of long
        teeth is swept across its teeth.
    """
    bounds = [part.bounds() for part in boxes]
    if sum(box.right - box.left for box in bounds) <= sum(box.top - box.bottom for box in bounds):
        spans = [(box.left, box.right, box.bottom, box.top) for box in bounds]
    else:
        spans = [(box.bottom, box.top, box.left, box.right) for box in bounds]
    order = sorted(range(len(spans)), key=lambda index: spans[index][0])
    active: list[int] = []
    for index in order:
        begin, _, low, high = spans[index]
        active = [other for other in active if spans[other][1] >= begin - slack]
        for other in active:
            if spans[other][2] <= high + slack and spans[other][3] >= low - slack:
                yield (other, index) if other < index else (index, other)
        active.append(index)
