"""Path deviation: compares a stroke that was read with the planned one.

Both are followed side by side from their start, and the read stroke may leave a planned segment
only at that segment's end. So mirrored, turned, reversed and partly missing strokes are noticed,
not only moved ones.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np

from adapters.readers.strokes import ReadSegment, ReadStroke
from adapters.split import is_circle
from adapters.tracks import Track, track_of
from geometry.model.outline import Vertex, has_arcs
from geometry.model.plan import Stroke
from geometry.model.points import Point, distance, heading

#: A read end matches a planned one within this distance, mm.
_NEAR = 0.05
#: The arcs of a circle add up to a full turn within this angle, rad.
_TURN = 0.5
#: Maximum number of neighbouring segments that a format's grid may merge because they are so short.
_SWALLOWED = 64
#: From this many read moves per planned segment, they are compared as arrays.
_MANY = 4
#: Longest parts, rad, into which formats split their arcs, and their rounding.
_PARTS, _ROUNDING = (math.pi / 2.0, math.pi / 4.0), 1e-9


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
    least = math.inf
    for off in _comparisons(read, stroke, allowed):
        # The smallest counts: a comparison that cannot follow a file stays at a segment that the
        # file has left, and finds too large a deviation.
        least = min(least, off)
        if off <= allowed:
            break
    return least


def _comparisons(read: ReadStroke, stroke: Stroke, allowed: float) -> Iterator[float]:
    """Yield deviations by several comparisons, from the quickest to the most tolerant one."""
    vertices, count = stroke.vertices, len(read.segments)
    # Most files start a ring where the plan does, and split its arcs evenly.
    ring: Sequence[Vertex] = (*vertices, vertices[0]) if stroke.closed else vertices
    yield _off_side_by_side(read, _split(ring, count))
    if not _is_finite(read):
        yield math.inf
        return
    if stroke.closed:
        ring = aligned(vertices, read)
        yield _off_side_by_side(read, _split(ring, count))
    tracks = [track_of(a, b) for a, b in itertools.pairwise(ring)]
    if count >= _MANY * len(tracks):
        yield _off_by_segment(read, tracks, allowed)
    yield _off_followed(read, tracks, allowed)


def _is_finite(read: ReadStroke) -> bool:
    """Return whether all coordinates are finite numbers."""
    flat = itertools.chain.from_iterable
    places = flat(read.segments)
    # A sum is finite only if all its terms are.
    return math.isfinite(sum(flat(places), read.start.x + read.start.y))


def aligned(vertices: Sequence[Vertex], read: ReadStroke) -> Sequence[Vertex]:
    """Return a ring's vertices from the one nearest to the file's start up to the same one."""
    x, y = read.start
    near = min(
        range(len(vertices)), key=lambda at: math.hypot(vertices[at].x - x, vertices[at].y - y)
    )
    return (*vertices[near:], *vertices[: near + 1])


def _split(ring: Sequence[Vertex], count: int) -> Sequence[Vertex]:
    """Return a path of ``count`` segments, its arcs split into equal parts; as it is, if none fits.

    Wherever an arc is split, all points stay on the path, so the split cannot hide a deviation.
    """
    if count < len(ring):
        return ring
    if count == len(ring) - 1 and not has_arcs(ring[:-1]):
        return ring
    sweeps = [4.0 * math.atan(abs(vertex.bulge)) for vertex in ring[:-1]]
    for most in _PARTS:
        parts = [math.ceil(sweep / most - _ROUNDING) or 1 for sweep in sweeps]
        if sum(parts) == count:
            rows = [
                place
                for a, b, parted in zip(ring, ring[1:], parts, strict=False)
                for place in ((a,) if parted == 1 else _along(a, b, parted))
            ]
            return (*rows, ring[-1])
    return ring


def _along(a: Vertex, b: Vertex, parts: int) -> Iterator[Vertex]:
    """Yield the starts of an arc's equal parts."""
    first, last = complex(a.x, a.y), complex(b.x, b.y)
    # The centre is to the left of an arc of less than a half turn counter-clockwise.
    off = (1.0 - a.bulge**2) / (4.0 * a.bulge)
    centre = (first + last) / 2.0 + 1j * off * (last - first)
    part = math.atan(a.bulge) / parts
    arm, turn, bulge = first - centre, cmath.rect(1.0, 4.0 * part), math.tan(part)
    for _ in range(parts):
        place = centre + arm
        yield Vertex(place.real, place.imag, bulge)
        arm *= turn


def _off_side_by_side(read: ReadStroke, ring: Sequence[Vertex]) -> float:
    """Return the largest distance of starts, middles and ends; infinite if their numbers differ."""
    moves: Sequence[ReadSegment] = read.segments
    if len(moves) != len(ring) - 1:
        return math.inf
    hypot = math.hypot
    # ``max`` may ignore NaN; the sum does not.
    total = worst = hypot(read.start.x - ring[0].x, read.start.y - ring[0].y)
    for ((mx, my), (x, y)), (ax, ay, bulge), (bx, by, _) in zip(
        moves, ring, ring[1:], strict=False
    ):
        # The middle of an arc lies half a chord times the bulge to the right of the chord's.
        middle_x, middle_y = ax + bx + bulge * (by - ay), ay + by - bulge * (bx - ax)
        end, middle = hypot(x - bx, y - by), hypot(mx - middle_x / 2.0, my - middle_y / 2.0)
        worst = max(worst, end, middle)
        total += end + middle
    return worst if total < math.inf else math.inf


def _off_by_segment(read: ReadStroke, tracks: Sequence[Track], allowed: float) -> float:
    """Return the deviation of a path of many chords, compared as arrays.

    It is infinite unless a chord ends at the end of each planned segment. :func:`_off_followed`
    compares all other paths, chord by chord.
    """
    moves = read.segments
    flat = itertools.chain.from_iterable
    values = np.fromiter(flat(flat(moves)), float, 4 * len(moves))
    places = values[::2] + 1j * values[1::2]
    worst, first = distance(read.start, tracks[0].start), 0
    for track in tracks:
        from_end = np.abs(places[2 * first + 1 :: 2] - complex(*track.end))
        near = from_end <= allowed
        at = int(near.argmax()) if len(near) else 0
        if not len(near) or not near[at]:
            return math.inf
        last = first + at + 1
        if at:
            off = float(track.all_off(places[2 * first : 2 * last]).max())
        else:
            off = max(track.off(moves[first].middle), track.off(moves[first].end))
        worst = max(worst, off, float(from_end[at]))
        first = last
    return worst if first == len(moves) else math.inf


def _off_followed(read: ReadStroke, tracks: Sequence[Track], allowed: float) -> float:
    """Return the deviation of a path, followed point by point along the planned segments.

    ``states`` holds the segments that the last point may lie on, with the deviation so far.
    """
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
    tracks: Sequence[Track],
    states: dict[int, float],
    place: Point,
    before: Point,
    allowed: float,
) -> dict[int, float]:
    """Return the planned segments that a read point may lie on, each with its largest deviation.

    There can be several where a path runs back beside itself, as at a cusp. A segment can be left
    only near its end. A format's grid may merge several short segments into one move.
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
