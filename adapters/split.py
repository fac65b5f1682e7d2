"""Splits strokes into parts that a format can hold: short arcs, or chords."""

from __future__ import annotations

import math
from collections.abc import Iterator

from geometry.measure import flattened_segment
from geometry.model.plan import Stroke
from geometry.model.points import Point
from geometry.model.segments import Arc, Segment

_QUARTER = math.pi / 2.0


def short_arcs(stroke: Stroke, most: float = _QUARTER) -> Iterator[Segment]:
    """Yield a stroke's segments, with arcs split into equal parts of at most ``most`` rad."""
    for part in stroke.segments:
        if not isinstance(part, Arc):
            yield part
            continue
        count = max(1, math.ceil(abs(part.sweep) / most - 1e-9))
        for index in range(count):
            yield part.between(index / count, (index + 1) / count)


def chords(stroke: Stroke, tolerance: float) -> list[Point]:
    """Return a stroke as points within ``tolerance`` mm of it, the closing point included."""
    points: list[Point] = []
    for part in stroke.segments:
        points.extend(flattened_segment(part, tolerance))
    points.append(stroke.segments[-1].end)
    return points


#: A half circle's bulge is 1 within this: moves and allowances leave rounding.
_HALF = 1e-9


def is_circle(stroke: Stroke) -> bool:
    """Return whether a closed stroke consists of two halves of one circle."""
    return (
        stroke.closed
        and len(stroke.vertices) == 2  # noqa: PLR2004 - two halves
        and all(abs(abs(vertex.bulge) - 1.0) < _HALF for vertex in stroke.vertices)
        and stroke.vertices[0].bulge * stroke.vertices[1].bulge > 0.0
    )
