"""Says how the strokes of a file differ from the plan: which stroke, where, and by how much."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from adapters.nearest_places import NearestPlaces
from adapters.path_deviation import aligned, deviation
from adapters.readers.strokes import ReadStroke
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point, distance

#: Largest distance up to which ends of segments are taken for the planned ones, mm.
_FINE = 0.01
#: Parts of a planned segment at whose ends a fault is looked for.
_PARTS = 8
#: Distance of an arc's middle from its chord above which a read segment is no line, mm.
_BENT = 0.001
#: Maximum number of points of a stroke that are looked at for the place of a fault.
_LOOKED_AT = 500


class Difference(NamedTuple):
    """The place where a stroke is farthest off: where it should be, and where it is."""

    expected: Point
    found: Point

    @property
    def distance(self) -> float:
        """Return how far apart they are, mm."""
        return distance(self.expected, self.found)


def count_fault(found: Sequence[ReadStroke], plan: CutPlan) -> str:
    """Return a sentence without its full stop if a file has another number of strokes."""
    if len(found) == len(plan.strokes):
        return ""
    return f"the plan has {len(plan.strokes)} strokes, the file has {len(found)}"


def stroke_name(number: int, plan: CutPlan) -> str:
    """Return how a stroke is named in messages; ``number`` counts from 0, the name from 1."""
    stroke = plan.strokes[number]
    kind = "closed" if stroke.closed else "open"
    of_piece = f", piece {stroke.piece[:40]}" if stroke.piece else ""
    return f"stroke {number + 1} of {len(plan.strokes)} ({stroke.operation}, {kind}{of_piece})"


def path_fault(read: ReadStroke, stroke: Stroke, off: float, allowed: float) -> str:
    """Return how a stroke whose deviation is not allowed differs: what follows its name."""
    if read.closed != stroke.closed:
        words = ("closed", "open") if stroke.closed else ("open", "closed")
        return "is {} in the plan and {} in the file".format(*words)
    worst = _worst(read, stroke, min(_FINE, allowed / 4.0))
    if worst is None:
        return "has coordinates that are not numbers in the file"
    if not worst.distance > allowed:
        return "has its points in another order or direction than planned, or lacks some"
    # Where a stroke goes astray early, what follows is farther off than any of its points.
    off = min(off, worst.distance) if worst.distance > allowed else off
    return (
        f"is off the plan by {off:.4f} mm, and {allowed:.4f} mm are allowed: expected "
        f"{_place(worst.expected)}, found {_place(worst.found)} mm"
    )


def fault_of(found: Sequence[ReadStroke], plan: CutPlan, allowed: float) -> str:
    """Return the first stroke that is off the plan, with its numbers; empty if none is."""
    if fault := count_fault(found, plan):
        return fault
    for number, (read, stroke) in enumerate(zip(found, plan.strokes, strict=True)):
        off = deviation(read, stroke, allowed=allowed)
        # Also true for NaN.
        if not off <= allowed:
            return f"{stroke_name(number, plan)} {path_fault(read, stroke, off, allowed)}"
    return ""


def _place(point: Point) -> str:
    return f"({point.x:.4f}, {point.y:.4f})"


def _worst(read: ReadStroke, stroke: Stroke, fine: float) -> Difference | None:
    """Return where a stroke is farthest off; ``None`` if not all its coordinates are numbers.

    ``fine`` is the distance, mm, up to which ends of segments are taken for the planned ones.
    """
    points = [read.start, *(place for move in read.segments for place in (move.middle, move.end))]
    if not all(math.isfinite(each.x) and math.isfinite(each.y) for each in points):
        return None
    ring = aligned(stroke.vertices, read) if stroke.closed else stroke.vertices
    if len(read.segments) == len(ring) - 1:
        ends = [read.start, *(move.end for move in read.segments)]
        pairs = [Difference(a.point, b) for a, b in zip(ring, ends, strict=True)]
        worst = max(pairs, key=lambda pair: pair.distance)
        if worst.distance > fine:
            return worst
    planned, drawn = NearestPlaces.of_segments(stroke.segments), NearestPlaces.of_read(read)
    places = [
        part.point_at(each / _PARTS) for part in stroke.segments for each in range(_PARTS + 1)
    ]
    off_plan = [Difference(planned.of(each), each) for each in _some(points)]
    missed = [Difference(each, drawn.of(each)) for each in _some(places)]
    return max([*off_plan, *missed], key=lambda pair: pair.distance)


def has_arc(read: ReadStroke) -> bool:
    """Return whether a read stroke has a segment that is not straight, to 0.001 mm."""
    starts = [read.start, *(move.end for move in read.segments)]
    return any(
        distance(_on(start, move.end, move.middle), move.middle) > _BENT
        for start, move in zip(starts, read.segments, strict=False)
    )


def _some(points: Sequence[Point]) -> Sequence[Point]:
    return points[:: 1 + len(points) // _LOOKED_AT]


def _on(a: Point, b: Point, place: Point) -> Point:
    dx, dy = b.x - a.x, b.y - a.y
    length_squared = dx * dx + dy * dy
    if not length_squared:
        return a
    along = ((place.x - a.x) * dx + (place.y - a.y) * dy) / length_squared
    along = min(1.0, max(0.0, along))
    return Point(a.x + along * dx, a.y + along * dy)
