"""A short first cut in waste that aligns a drag blade."""

from __future__ import annotations

import math
from collections.abc import Sequence

from geometry import polygons
from geometry.measure import flattened
from geometry.model.cutter import WorkArea
from geometry.model.outline import Chain, Outline, Vertex
from geometry.model.plan import Stroke
from geometry.tolerance import CHORD

#: Lengths of the stroke in offsets: the remaining angle shrinks by a factor of e per offset.
_LONG, MIN_LONG = 12.0, 6.0
#: Clearance from pieces in addition to the blade's swing, mm.
CLEAR = 0.3
#: Points along the stroke that must be free before a spot is checked exactly.
_ALONG = (0.25, 0.5, 0.75, 1.0)
#: Sides of the square, mm, near the start of the bed where the search begins.
_WINDOWS = (80.0, 250.0, math.inf)
#: Directions to try, degrees.
_DIRECTIONS = (0, 90, 30, 150, 60, 120, 45, 135)
#: Number of spots to try for each direction and length.
_SPOTS = 60


def line_up_stroke(strokes: Sequence[Stroke], area: WorkArea, offset: float) -> Stroke | None:
    """Return a straight stroke in waste, or ``None`` if there is no room.

    Shape:
        12 offsets long, down to 6 if waste is scarce; the blade's tip stays inside the work area
        and off every piece for any initial direction.

    Args:
        strokes: all cuts, at size.
        area: area for cut lines.
        offset: offset of the blade, mm.
    """
    lines = [_shape(stroke) for stroke in strokes]
    room: polygons.BaseGeometry = polygons.flattened_polygon(area.boundary, CHORD)
    for keep_out in area.keep_outs:
        room = room.difference(polygons.flattened_polygon(keep_out, CHORD))
    room = room.buffer(-offset)
    box = area.bounds
    for size in _WINDOWS:
        side = min(size, max(box.width, box.height))
        window = polygons.box(box.left, box.bottom, box.left + side, box.bottom + side)
        near = [line for line in lines if line.intersects(window)]
        free = room.intersection(window)
        if near:
            taken = polygons.union_all(near)
            free = free.difference(taken.buffer(offset + CLEAR, quad_segs=4))
        found = _fitting(free, offset)
        if found is not None:
            return found
        if side >= max(box.width, box.height):
            break
    return None


def _shape(stroke: Stroke) -> polygons.BaseGeometry:
    if stroke.closed:
        return polygons.flattened_polygon(Outline(stroke.vertices), CHORD)
    return polygons.LineString(flattened(Chain(stroke.vertices), CHORD))


def _fitting(free: polygons.BaseGeometry, offset: float) -> Stroke | None:
    for length in (_LONG * offset, MIN_LONG * offset):
        for turn in _DIRECTIONS:
            dx = length * math.cos(math.radians(turn))
            dy = length * math.sin(math.radians(turn))
            begins = free
            for share in _ALONG:
                begins = begins.intersection(polygons.translate(free, -share * dx, -share * dy))
            for x, y in _spots(begins):
                way = polygons.LineString([(x, y), (x + dx, y + dy)])
                if free.covers(way):
                    ends = (Vertex(x, y), Vertex(x + dx, y + dy))
                    return Stroke("cut", ends, closed=False, part="line-up")
    return None


def _spots(begins: polygons.BaseGeometry) -> list[tuple[float, float]]:
    """Return points well inside an area's parts, starting near the origin of the bed."""
    parts = [part for part in getattr(begins, "geoms", [begins]) if part.area > 0.0]
    points = [part.representative_point() for part in parts]
    return sorted((round(p.x, 4), round(p.y, 4)) for p in points)[:_SPOTS]
