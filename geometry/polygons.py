"""The one door to shapely (GEOS): all that we use of it, and outlines as its polygons.

No other module imports shapely, so that what we rely on stands in one list. Its polygons have
straight edges: an outline's arcs become chords.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain

import numpy as np
from numpy.typing import NDArray
from shapely import (
    Geometry,
    LinearRing,
    LineString,
    MultiLineString,
    MultiPoint,
    MultiPolygon,
    Point,
    Polygon,
    STRtree,
    area,
    bounds,
    box,
    buffer,
    clip_by_rect,
    constrained_delaunay_triangles,
    contains,
    contains_xy,
    convex_hull,
    covers,
    difference,
    distance,
    dwithin,
    get_coordinates,
    get_exterior_ring,
    get_num_coordinates,
    get_parts,
    get_point,
    hausdorff_distance,
    intersection,
    intersection_all,
    intersects,
    intersects_xy,
    is_valid,
    length,
    line_locate_point,
    linearrings,
    linestrings,
    maximum_inscribed_circle,
    orient_polygons,
    point_on_surface,
    points,
    polygons,
    prepare,
    segmentize,
    shortest_line,
    transform,
    union,
    union_all,
)
from shapely.affinity import rotate, translate
from shapely.geometry.base import BaseGeometry

from geometry.measure import flattened
from geometry.model.outline import Outline

__all__ = [
    "BaseGeometry", "Geometry", "LineString", "LinearRing", "MultiLineString", "MultiPoint",
    "MultiPolygon", "Point", "Polygon", "STRtree", "area", "bounds", "box", "buffer",
    "clip_by_rect", "constrained_delaunay_triangles", "contains", "contains_xy", "convex_hull",
    "covers", "difference", "distance", "dwithin", "flattened_polygon", "get_coordinates",
    "get_exterior_ring", "get_num_coordinates", "get_parts", "get_point", "hausdorff_distance",
    "intersection", "intersection_all", "intersects", "intersects_xy", "is_simple_polygon",
    "is_valid", "length", "line_locate_point", "linearrings", "lines_of", "linestrings",
    "maximum_inscribed_circle", "orient_polygons", "outer_ring", "point_on_surface", "points",
    "polygons", "prepare", "rings_of", "rotate", "segmentize", "shortest_line", "transform",
    "translate", "union", "union_all",
]  # fmt: skip


def rings_of(paths: Sequence[Sequence[Sequence[float]]]) -> NDArray[np.object_]:
    """Return a closed ring through each row of points.

    All are made at once, because shapely takes several times as long for one at a time.
    """
    rings: NDArray[np.object_] = linearrings(_coordinates(paths), indices=_owners(paths))
    return rings


def lines_of(paths: Sequence[Sequence[Sequence[float]]]) -> NDArray[np.object_]:
    """Return a line through each row of points, all made at once."""
    lines: NDArray[np.object_] = linestrings(_coordinates(paths), indices=_owners(paths))
    return lines


def _coordinates(paths: Sequence[Sequence[Sequence[float]]]) -> NDArray[np.float64]:
    """Return the points of all paths, one after another."""
    return np.fromiter(chain.from_iterable(chain.from_iterable(paths)), float).reshape(-1, 2)


def _owners(paths: Sequence[Sequence[Sequence[float]]]) -> NDArray[np.intp]:
    """Return the number of each point's path."""
    return np.repeat(np.arange(len(paths)), [len(path) for path in paths])


def flattened_polygon(outline: Outline, chord_mm: float) -> Polygon:
    """Return an outline as a polygon.

    Args:
        outline: whose arcs become chords.
        chord_mm: by which a chord may lie off its arc at most.
    """
    return Polygon(flattened(outline, chord_mm))


def outer_ring(polygon: Polygon) -> NDArray[np.float64]:
    """Return the corners of a polygon's outside, counter-clockwise, the first one not repeated."""
    ring = get_exterior_ring(orient_polygons(polygon))
    corners: NDArray[np.float64] = get_coordinates(ring)[:-1]
    return corners


def is_simple_polygon(outline: Outline) -> bool:
    """Return whether a ring of straight edges neither crosses nor touches itself.

    Args:
        outline: without arcs.

    Source:
        Validity of an OGC Simple Features polygon, as determined by GEOS.
    """
    return bool(is_valid(Polygon([vertex[:2] for vertex in outline.vertices])))
