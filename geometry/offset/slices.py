"""Splits rings at their crossings and selects the stretches that bound the inside.

Source:
    Stretches are kept where the ring's winding number is positive on the left and not on the
    right: the positive fill of a raw offset is the offset itself (X. Chen and S. McMains,
    "Polygon offsetting by computing winding numbers", ASME DETC 2005).
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections.abc import Sequence

from geometry.intersect import close_pairs, meet
from geometry.model.outline import Outline
from geometry.model.points import Point, distance
from geometry.model.segments import Arc, Segment
from geometry.tolerance import SAME_POINT

#: Distance from a stretch at which the winding number is evaluated, mm: a thousand times rounding,
#: and less than the distance of edges that cross at the flattest angle in use.
_BESIDE = 2.0e-8
#: Stretches shorter than this, mm, are irrelevant and left out.
_SLIVER = 4.0e-6
#: Points closer than this, mm, are equal.
_PLACE = 1.0e-5


def bounding_stretches(rings: Sequence[Outline]) -> tuple[list[Segment], dict[int, set[int]]]:
    """Return the stretches of closed rings that bound a region, and their segments.

    Shape:
        The first ring is the outer one: its positive winding adds area. The others are clockwise
        holes: their negative winding removes area. The stretches are parts of the rings' segments,
        in their order and direction. The second value holds, for each ring by number, the segments
        of which some part remains.
    """
    # A ring moved onto one point is no longer a ring.
    parts = [ring.segments if len(ring.vertices) > 1 else () for ring in rings]
    windings = [Windings(each) for each in parts]
    kept: list[Segment] = []
    left_of: dict[int, set[int]] = {number: set() for number in range(len(rings))}
    sources = [(n, index) for n, each in enumerate(parts) for index in range(len(each))]
    seen = _Seen()
    segments = [part for each in parts for part in each]
    for whole, part, middle, direction in _cut_at_crossings(segments):
        if part.length < _SLIVER:
            continue
        nx, ny = -math.sin(direction) * _BESIDE, math.cos(direction) * _BESIDE
        on_left = _is_inside(windings, Point(middle.x + nx, middle.y + ny))
        if on_left and not _is_inside(windings, Point(middle.x - nx, middle.y - ny)):
            number, index = sources[whole]
            left_of[number].add(index)
            if not seen.repeats(part):
                kept.append(part)
    return kept, left_of


def _is_inside(windings: Sequence[Windings], point: Point) -> bool:
    outer, *holes = windings
    return outer.at(point) > 0 and all(hole.at(point) >= 0 for hole in holes)


class _Seen:
    """Stores stretches, to leave out repeated ones where two edges coincide."""

    def __init__(self) -> None:
        self._by_place: dict[tuple[int, int], list[Segment]] = {}

    def repeats(self, part: Segment) -> bool:
        """Return whether a stretch is a repeated one; store it if not."""
        middle = part.point_at(0.5)
        x, y = round(middle.x / _PLACE), round(middle.y / _PLACE)
        for dx in (-1, 0, 1):
            for dy in (-1, 0, 1):
                for other in self._by_place.get((x + dx, y + dy), ()):
                    if (
                        distance(part.start, other.start) <= _PLACE
                        and distance(part.end, other.end) <= _PLACE
                    ):
                        return True
        self._by_place.setdefault((x, y), []).append(part)
        return False


def _cut_at_crossings(segments: Sequence[Segment]) -> list[tuple[int, Segment, Point, float]]:
    """Return every stretch with its segment's number, its middle and the direction there.

    The middle lies on the original segment: a stretch's ends may be off it by the distance of equal
    points.
    """
    shares: list[dict[float, Point]] = [{0.0: s.start, 1.0: s.end} for s in segments]
    for first, second in close_pairs(segments, SAME_POINT):
        for crossing in meet(segments[first], segments[second]).crossings:
            shares[first].setdefault(crossing.first, crossing.point)
            shares[second].setdefault(crossing.second, crossing.point)
    pieces: list[tuple[int, Segment, Point, float]] = []
    for number, (part, cuts) in enumerate(zip(segments, shares, strict=True)):
        ordered = sorted(cuts)
        for low, high in itertools.pairwise(ordered):
            middle = (low + high) / 2.0
            stretch = _between(part, low, high, cuts[low], cuts[high])
            pieces.append((number, stretch, part.point_at(middle), part.heading_at(middle)))
    return pieces


def _between(part: Segment, low: float, high: float, start: Point, end: Point) -> Segment:
    """Return a stretch that ends exactly at the crossings' points, so that neighbours agree."""
    if low == 0.0 and high == 1.0:
        return part
    if isinstance(part, Arc):
        return Arc(start, end, math.tan((high - low) * math.atan(part.bulge)))
    return type(part)(start, end)


class Windings:
    """Winding numbers of a ring, calculated from its crossings with an upward ray.

    Parts that are monotonic in x are sorted into columns, so that each query examines only those
    near its x.
    """

    def __init__(self, segments: Sequence[Segment]) -> None:
        pieces = [piece for part in segments for piece in _along_x(part)]
        edges = sorted({min(p.start.x, p.end.x) for p in pieces})
        step = max(1, len(edges) // max(1, len(pieces) // 2))
        self._edges = edges[::step]
        self._columns: list[list[Segment]] = [[] for _ in self._edges]
        for piece in pieces:
            low, high = sorted((piece.start.x, piece.end.x))
            first = max(0, bisect_right(self._edges, low) - 1)
            last = bisect_right(self._edges, high)
            for column in range(first, last):
                self._columns[column].append(piece)

    def at(self, point: Point) -> int:
        """Return the ring's winding number about a point, counter-clockwise positive."""
        column = bisect_right(self._edges, point.x) - 1
        if column < 0:
            return 0
        total = 0
        for piece in self._columns[column]:
            a, b = piece.start.x, piece.end.x
            # Half open, so that a ray through a joint counts only one of the two parts.
            if (a <= point.x < b or b <= point.x < a) and _height(piece, point.x) > point.y:
                total += 1 if b < a else -1
        return total


def _along_x(part: Segment) -> list[Segment]:
    """Return a segment split where its direction along x reverses."""
    if not isinstance(part, Arc):
        return [part]
    centre, radius = part.centre, part.radius
    begin = math.atan2(part.start.y - centre.y, part.start.x - centre.x)
    cuts: dict[float, Point] = {0.0: part.start, 1.0: part.end}
    for angle, x in ((0.0, centre.x + radius), (math.pi, centre.x - radius)):
        turn = (angle - begin) % math.tau
        if part.bulge < 0.0:
            turn -= math.tau
        share = turn / part.sweep
        if 0.0 < share < 1.0:
            cuts[share] = Point(x, centre.y)
    ordered = sorted(cuts)
    return [
        Arc(cuts[low], cuts[high], math.tan((high - low) * math.atan(part.bulge)))
        for low, high in itertools.pairwise(ordered)
    ]


def _height(piece: Segment, x: float) -> float:
    """Return the y of a part that is monotonic in x, at an x within it."""
    if isinstance(piece, Arc):
        centre, radius = piece.centre, piece.radius
        rise = math.sqrt(max(0.0, (radius - (x - centre.x)) * (radius + (x - centre.x))))
        # Above the centre if it goes left counter-clockwise or right clockwise.
        leftwards = piece.end.x < piece.start.x
        return centre.y + (rise if leftwards == (piece.bulge > 0.0) else -rise)
    share = (x - piece.start.x) / (piece.end.x - piece.start.x)
    return piece.start.y + share * (piece.end.y - piece.start.y)
