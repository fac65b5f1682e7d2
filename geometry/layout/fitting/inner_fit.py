"""Where a piece may lie within a work area of any shape: the inner-fit region.

Source:
    The inner-fit region is the work area eroded by the piece: for a convex area the common part
    of the area moved by each of the piece's corners, else what the Minkowski sums of the outside
    with the mirrored piece leave (Bennell and Oliveira, European Journal of Operational Research
    184, 2008).
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from geometry import polygons
from geometry.layout.fitting.holding_polygons import holding_polygon, is_convex
from geometry.layout.fitting.no_fit import convex_parts, convex_sum, no_fit
from geometry.measure import flattened
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline, Vertex
from geometry.tolerance import LAYOUT_ACCURACY

#: How far chords may stand off the arcs of a work area, mm, always inwards.
_CHORD = 0.008
#: Regions are let out by this much, so that a slot of no width can still be found, mm.
HAIR = LAYOUT_ACCURACY / 4.0
#: A sharp corner is let out by at most twice that: a mitre would leave the work area there.
_MITRE_LIMIT = 2.0


@lru_cache(maxsize=64)
def boundary_polygon(boundary: Outline) -> polygons.Polygon:
    """Return a polygon that lies within a boundary."""
    whole: polygons.BaseGeometry = polygons.Polygon(np.array(flattened(boundary, _CHORD)))
    for index, vertex in enumerate(boundary.vertices):
        if vertex.bulge < 0.0:
            # A hollow side reaches into the chords' polygon: its sliver is taken off.
            sliver = Outline((vertex, _end(boundary, index))).reversed()
            whole = whole.difference(polygons.Polygon(holding_polygon(sliver)))
    largest: polygons.Polygon = max(polygons.get_parts(whole), key=polygons.area)
    return largest


def _end(outline: Outline, index: int) -> Vertex:
    following = outline.vertices[(index + 1) % len(outline.vertices)]
    return following._replace(bulge=0.0)


@lru_cache(maxsize=512)
def inner_fit(room: WorkArea, outline: Outline) -> polygons.BaseGeometry:
    """Return the moves of an outline that keep it within the work area.

    Shape:
        A polygon, several, or an empty one. Let out by a hair against rounding.

    Units:
        mm.
    """
    box, limit = outline.bounds, room.bounds
    low = (limit.left - box.left, limit.bottom - box.bottom)
    high = (limit.right - box.right, limit.top - box.top)
    if high[0] < low[0] - HAIR or high[1] < low[1] - HAIR:
        return polygons.Polygon()
    frame = polygons.box(low[0] - HAIR, low[1] - HAIR, high[0] + HAIR, high[1] + HAIR)
    if room.is_rectangle:
        return frame
    region = _within(room, outline, frame)
    for keep_out in room.keep_outs:
        banned = polygons.Polygon(no_fit(keep_out, outline, 0.0))
        region = region.difference(
            banned.buffer(-HAIR, join_style="mitre", mitre_limit=_MITRE_LIMIT)
        )
    return region


def _within(room: WorkArea, outline: Outline, frame: polygons.Polygon) -> polygons.BaseGeometry:
    """Return the moves that keep an outline within the boundary alone."""
    whole = boundary_polygon(room.boundary)
    piece = holding_polygon(outline)
    if _is_convex(whole):
        corners = polygons.get_coordinates(polygons.convex_hull(polygons.MultiPoint(piece)))
        moves = [polygons.Polygon(polygons.outer_ring(whole) - corner) for corner in corners]
        return polygons.intersection_all(moves).buffer(
            HAIR, join_style="mitre", mitre_limit=_MITRE_LIMIT
        )
    box, limit = outline.bounds, room.bounds
    outside = polygons.box(
        limit.left - box.width - 1.0,
        limit.bottom - box.height - 1.0,
        limit.right + box.width + 1.0,
        limit.top + box.height + 1.0,
    ).difference(whole)
    banned = [
        polygons.Polygon(convex_sum(polygons.outer_ring(triangle), other))
        for triangle in polygons.get_parts(polygons.constrained_delaunay_triangles(outside))
        for other in convex_parts(-piece)
    ]
    return frame.difference(
        polygons.union_all(banned).buffer(-HAIR, join_style="mitre", mitre_limit=_MITRE_LIMIT)
    )


def _is_convex(polygon: polygons.Polygon) -> bool:
    return is_convex(polygons.outer_ring(polygon))
