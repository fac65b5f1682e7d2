"""The length of a quilt top's outside, which its binding follows.

Source:
    Edges of whole pieces keep their points and dents, and a binding is sewn along them; a trimmed
    edge is bound where it is cut. Common practice, no source.
"""

from __future__ import annotations

import math

from geometry import polygons
from geometry.planning.assembly import Assembly
from geometry.planning.seams import Seams

#: Grid of a union, mm, so that edges of neighbours meet.
_GRID = 1e-6
#: Chords of an arc, and the deepest row of pieces that can reach an edge, in pieces.
_CHORDS, _DEEP = 32, 2.0


def ragged_edges(assembly: Assembly) -> tuple[bool, bool]:
    """Return whether the sides, and the ends, keep the points and dents of whole pieces."""
    plane = assembly.plane
    pairs = ((assembly.across, plane.across), (assembly.along, plane.along))
    sides, ends = (
        frame.edge == "whole" and not math.isclose(axis.teeth, 0.0) for frame, axis in pairs
    )
    return sides, ends


def outside_length(assembly: Assembly, seams: Seams) -> float:
    """Return the length round a quilt top once trimmed edges are cut, mm.

    Args:
        assembly: the quilt top.
        seams: of its pieces, before any edge is trimmed.
    """
    bounds = assembly.bounds
    if not any(ragged_edges(assembly)):
        return 2.0 * (bounds.width + bounds.height)
    if "trimmed" not in {assembly.across.edge, assembly.along.edge}:
        return seams.outside
    return _cut_length(assembly)


def _cut_length(assembly: Assembly) -> float:
    """Return the length round a top of which one pair of edges is trimmed and one is ragged."""
    frame = assembly.bounds
    boxes = [each.outline.bounds for each in assembly.plane.protos]
    deep = _DEEP * max(max(each.width, each.height) for each in boxes)
    outer = polygons.box(frame.left, frame.bottom, frame.right, frame.top)
    inner = (
        outer.buffer(-deep) if min(frame.width, frame.height) > 2.0 * deep else polygons.Polygon()
    )
    rim = []
    for piece in assembly.placed:
        outline = assembly.outline(piece)
        points = [
            edge.point_at(number / steps)
            for edge in outline.segments
            for steps in [_CHORDS if outline.has_arcs else 1]
            for number in range(steps)
        ]
        polygon = polygons.Polygon([(x, y) for x, y in points])
        if not inner.contains(polygon):
            rim.append(polygon)
    whole = polygons.union_all(rim, grid_size=_GRID).intersection(outer)
    parts = whole.geoms if isinstance(whole, polygons.MultiPolygon) else [whole]
    return math.fsum(part.exterior.length for part in parts)
