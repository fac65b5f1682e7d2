"""Finds room inside a piece for its label and its grain arrow."""

from __future__ import annotations

import math
from functools import lru_cache

import shapely
from shapely.geometry.base import BaseGeometry

from geometry.measure import centroid, flattened
from geometry.model.outline import Outline, Region
from geometry.model.points import Point

#: Tolerance of arcs' chords, mm; it affects only pictures.
_CHORD = 0.1
#: The centroid is used if its distance to the edge is at least this share of the largest.
_NEARLY = 0.8
#: Share of an arrow's line left free at the edges, and clearance round a hole, mm.
_FREE, _ROUND_HOLES = 0.12, 0.6


@lru_cache(maxsize=256)
def roomy_middle(outline: Outline) -> tuple[Point, float]:
    """Return a roomy point of an outline, and its distance to the edge, mm.

    Shape:
        The centroid; of hollow outlines the centre of the largest circle inside.
    """
    polygon = _polygon(outline)
    middle = centroid(outline)
    here = shapely.Point(middle)
    reach = float(shapely.distance(polygon.exterior, here)) if polygon.contains(here) else 0.0
    circle = shapely.maximum_inscribed_circle(polygon, tolerance=0.1)
    x, y = circle.coords[0]
    if reach >= _NEARLY * circle.length:
        return middle, reach
    return Point(float(x), float(y)), float(circle.length)


def label_size(outline: Outline, text: str, most: float) -> float:
    """Return the letter height at which a text fits inside an outline at any rotation, mm."""
    _, reach = roomy_middle(outline)
    # Half the diagonal of the text's box; a letter is about 0.62 of its height wide.
    return min(most, reach / math.hypot(0.31 * len(text), 0.4))


def room_below(outline: Outline, at: Point) -> float:
    """Return the distance from a point inside an outline straight down to its edge, mm."""
    line = shapely.LineString([at, (at.x, outline.bounds.bottom - 1.0)])
    return float(shapely.distance(_polygon(outline).exterior.intersection(line), shapely.Point(at)))


def along_grain(region: Region, outline: Outline, at: Point) -> list[tuple[Point, Point]]:
    """Return the parts of the vertical line through a point that lie inside, clear of holes.

    Args:
        region: the region that is cut, with its holes.
        outline: outline that bounds the line.
        at: point on the line.
    """
    box = outline.bounds
    line = shapely.LineString([(at.x, box.bottom - 1.0), (at.x, box.top + 1.0)])
    parts = shapely.get_parts(_polygon(outline).intersection(line))
    here = shapely.Point(at)
    reach = max(parts, key=lambda part: (-part.distance(here), part.length))
    low, high = reach.bounds[1], reach.bounds[3]
    spare = _FREE * (high - low)
    kept: BaseGeometry = shapely.LineString([(at.x, low + spare), (at.x, high - spare)])
    for hole in region.holes:
        kept = kept.difference(_polygon(hole).buffer(_ROUND_HOLES))
    return [
        (Point(at.x, part.bounds[1]), Point(at.x, part.bounds[3]))
        for part in shapely.get_parts(kept)
        if part.length > 0.0
    ]


def _polygon(outline: Outline) -> shapely.Polygon:
    return shapely.Polygon(flattened(outline, _CHORD))
