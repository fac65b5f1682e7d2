"""Path deviation: compares a read stroke with its planned one, in parallel from the start.

This detects mirrored, turned, reversed and partly missing strokes as well as moved ones: the read
stroke may leave a planned segment only at that segment's end.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

from adapters.readers.strokes import ReadSegment, ReadStroke
from adapters.split import is_circle
from geometry.model.outline import Vertex
from geometry.model.plan import Stroke
from geometry.model.points import Point, distance, heading

#: A read end matches a planned one within this distance, mm.
_NEAR = 0.05
#: The arcs of a circle add up to a full turn within this angle, rad.
_TURN = 0.5
#: Maximum number of neighbouring segments that a format's grid may merge because they are so short.
_SWALLOWED = 64


class _Track(NamedTuple):
    """A planned segment with precomputed values; ``radius`` is 0 for a line.

    ``toward`` is the direction from the centre to the middle of an arc, ``cos_half`` the cosine
    of half its sweep: together they define its sector.
    """

    start: Point
    end: Point
    dx: float
    dy: float
    length: float
    centre: Point
    radius: float
    toward: Point
    cos_half: float

    def off(self, place: Point) -> float:
        """Return the distance from a point to the segment, mm."""
        if self.radius:
            x, y = place.x - self.centre.x, place.y - self.centre.y
            out = math.hypot(x, y)
            if x * self.toward.x + y * self.toward.y < out * self.cos_half:
                return min(distance(place, self.start), distance(place, self.end))
            return abs(out - self.radius)
        x, y = place.x - self.start.x, place.y - self.start.y
        along = (x * self.dx + y * self.dy) / self.length
        if along < 0.0 or along > self.length:
            return min(distance(place, self.start), distance(place, self.end))
        return abs(x * self.dy - y * self.dx) / self.length


def deviation(read: ReadStroke, stroke: Stroke, *, allowed: float = _NEAR) -> float:
    """Return the deviation of a read stroke from a planned one, mm; infinite if it strays.

    Args:
        read: the stroke that the file holds.
        stroke: the planned one.
        allowed: moves within this distance, mm, of a planned segment belong to it.
    """
    first, last = stroke.vertices[0], stroke.vertices[-1]
    ends = math.hypot(first.x - last.x, first.y - last.y)
    # An open line that returns to its start, like the letter O, looks closed in formats that do not
    # state closing.
    if read.closed != stroke.closed and not (read.closed and ends < _NEAR):
        return math.inf
    if is_circle(stroke):
        return _off_circle(read, stroke) if _is_finite(read) else math.inf
    ring = _aligned(stroke, read)
    side_by_side = _off_side_by_side(read, ring)
    if side_by_side <= allowed:
        return side_by_side
    if not _is_finite(read):
        return math.inf
    return _off_followed(read, [_track(a, b) for a, b in itertools.pairwise(ring)], allowed)


def _is_finite(read: ReadStroke) -> bool:
    """Return whether all coordinates are finite numbers."""
    flat = itertools.chain.from_iterable
    places = flat((move.middle, move.end) for move in read.segments)
    # A sum is finite only if all its terms are.
    return math.isfinite(sum(flat(places), read.start.x + read.start.y))


def _aligned(stroke: Stroke, read: ReadStroke) -> Sequence[Vertex]:
    """Return a stroke's vertices; a closed one starts at the vertex nearest to the file's start."""
    vertices = stroke.vertices
    if not stroke.closed:
        return vertices
    x, y = read.start
    near = min(
        range(len(vertices)), key=lambda at: math.hypot(vertices[at].x - x, vertices[at].y - y)
    )
    return (*vertices[near:], *vertices[: near + 1])


def _off_side_by_side(read: ReadStroke, ring: Sequence[Vertex]) -> float:
    """Return the largest distance of starts, middles and ends; infinite if their numbers differ."""
    moves: Sequence[ReadSegment] = read.segments
    if len(moves) != len(ring) - 1:
        return math.inf
    hypot = math.hypot
    # ``max`` may ignore NaN; the sum does not.
    total = worst = hypot(read.start.x - ring[0].x, read.start.y - ring[0].y)
    for ((mx, my), (x, y)), (ax, ay, bulge), (bx, by, _) in zip(
        ((move.middle, move.end) for move in moves), ring, ring[1:], strict=False
    ):
        # The middle of an arc lies half a chord times the bulge to the right of the chord's.
        middle_x, middle_y = ax + bx + bulge * (by - ay), ay + by - bulge * (bx - ax)
        end, middle = hypot(x - bx, y - by), hypot(mx - middle_x / 2.0, my - middle_y / 2.0)
        worst = max(worst, end, middle)
        total += end + middle
    return worst if total < math.inf else math.inf


def _track(a: Vertex, b: Vertex) -> _Track:
    dx, dy = b.x - a.x, b.y - a.y
    length = math.hypot(dx, dy)
    start, end = Point(a.x, a.y), Point(b.x, b.y)
    if not a.bulge:
        return _Track(start, end, dx, dy, length, start, 0.0, start, 0.0)
    out = (1.0 - a.bulge**2) / (4.0 * a.bulge)
    centre = Point((a.x + b.x) / 2.0 - out * dy, (a.y + b.y) / 2.0 + out * dx)
    radius = length * (1.0 + a.bulge**2) / (4.0 * abs(a.bulge))
    # An arc of a positive bulge lies to the right of its chord.
    hand = math.copysign(1.0, a.bulge) / length
    toward = Point(hand * dy, -hand * dx)
    cos_half = (1.0 - a.bulge**2) / (1.0 + a.bulge**2)
    return _Track(start, end, dx, dy, length, centre, radius, toward, cos_half)


def _off_followed(read: ReadStroke, tracks: Sequence[_Track], allowed: float) -> float:
    before = read.start
    states = {0: distance(before, tracks[0].start)}
    hypot = math.hypot
    for move in read.segments:
        for place in (move.middle, move.end):
            if len(states) == 1:
                ((at, so_far),) = states.items()
                x, y = tracks[at].end
                # A shortcut for most points: far from the segment's end, it cannot have been left.
                if (
                    hypot(place.x - x, place.y - y) > allowed
                    and hypot(before.x - x, before.y - y) > allowed
                ):
                    states = {at: max(so_far, tracks[at].off(place))}
                    before = place
                    continue
            states = _followed(tracks, states, place, before, allowed)
            before = place
    return min(
        max([off, *(distance(track.end, before) for track in tracks[at:])])
        for at, off in states.items()
    )


def _followed(
    tracks: Sequence[_Track],
    states: dict[int, float],
    place: Point,
    before: Point,
    allowed: float,
) -> dict[int, float]:
    """Return the planned segments that a read point may lie on, each with its largest deviation.

    Several may be possible where a path runs back beside itself, as at a cusp. A segment may be
    left only where the read stroke came by its end; a grid may swallow several short ones.
    """
    found: dict[int, float] = {}
    for at, so_far in states.items():
        off = max(so_far, tracks[at].off(place))
        found[at] = min(off, found.get(at, math.inf))
        passed = so_far
        for ahead in range(at + 1, min(at + _SWALLOWED, len(tracks))):
            end = tracks[ahead - 1].end
            passed = max(passed, min(distance(end, before), distance(end, place)))
            if passed > allowed:
                break
            off = max(passed, tracks[ahead].off(place))
            found[ahead] = min(off, found.get(ahead, math.inf))
    if len(found) == 1:
        return found
    best = min(found.values())
    return {at: off for at, off in found.items() if off <= max(allowed, best)}


def _off_circle(read: ReadStroke, stroke: Stroke) -> float:
    """Return the deviation of a read circle, whose starting point does not matter."""
    a, b = stroke.vertices[0].point, stroke.vertices[1].point
    centre = Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0)
    radius = distance(a, b) / 2.0
    ring = [read.start, *(place for move in read.segments for place in (move.middle, move.end))]
    turns = [
        math.remainder(heading(centre, b) - heading(centre, a), math.tau)
        for a, b in itertools.pairwise(ring)
    ]
    # It must go round once, in either direction.
    if abs(abs(sum(turns)) - math.tau) > _TURN:
        return math.inf
    return max(distance(ring[0], ring[-1]), *(abs(distance(centre, p) - radius) for p in ring))
