"""Finds room on a piece for marks."""

from __future__ import annotations

import math
from collections.abc import Iterable

from geometry.measure import centroid
from geometry.model.outline import Chain, Outline
from geometry.model.points import Point, distance
from geometry.model.segments import Segment
from geometry.separation import contains, point_distance, segment_distance

#: Chord tolerance of the outline for finding the roomiest point, mm.
_CHORD = 0.1


def clearance(outline: Outline, point: Point) -> float:
    """Return the distance of an inner point from the outline, mm; negative outside."""
    near = min(point_distance(part, point) for part in outline.segments)
    return near if contains(outline, point) else -near


def middle(outline: Outline) -> tuple[Point, float]:
    """Return a roomy point near the middle and its clearance, mm.

    The centroid if it is nearly as roomy as any point, otherwise the roomiest point.
    """
    centre = centroid(outline)
    here = clearance(outline, centre)
    # Imported here because only pieces with marks need it.
    from geometry import polygons  # noqa: PLC0415

    polygon = polygons.flattened_polygon(outline, _CHORD)
    line = polygons.maximum_inscribed_circle(polygon, tolerance=_CHORD)
    x, y = polygons.get_coordinates(line)[0]
    roomiest = Point(float(x), float(y))
    there = clearance(outline, roomiest)
    return (centre, here) if here >= 0.8 * there else (roomiest, there)


def is_free(
    path: Iterable[Segment], outline: Outline, holes: Iterable[Outline], margin: float
) -> bool:
    """Return whether a path lies inside an outline and outside its holes, with a margin, mm."""
    for part in path:
        if not contains(outline, part.start):
            return False
        for edges in (outline.segments, *(hole.segments for hole in holes)):
            if any(segment_distance(part, edge) < margin for edge in edges):
                return False
        if any(contains(hole, part.start) for hole in holes):
            return False
    return True


def upright_line(outline: Outline, at: Point, margin: float) -> Chain | None:
    """Return the longest vertical line through a point that keeps a margin, mm, or ``None``."""
    low = high = at.y
    reach = distance(
        Point(outline.bounds.left, outline.bounds.bottom),
        Point(outline.bounds.right, outline.bounds.top),
    )
    for sense in (-1.0, 1.0):
        good, bad = 0.0, reach
        for _ in range(24):
            step = (good + bad) / 2.0
            end = Point(at.x, at.y + sense * step)
            path = Chain.of([at, end]).segments
            if is_free(path, outline, (), margin):
                good = step
            else:
                bad = step
        if sense < 0.0:
            low = at.y - good
        else:
            high = at.y + good
    if not math.isfinite(high - low) or high - low < 4.0 * margin:
        return None
    return Chain.of([(at.x, low), (at.x, high)])
