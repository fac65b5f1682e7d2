"""Where a beam starts: a short way off, in waste, so that the burn of piercing spoils no edge."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from geometry.measure import flattened
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline, Vertex
from geometry.model.plan import Stroke
from geometry.model.points import Point, ahead, turn_between
from geometry.tolerance import CHORD

#: Lead-ins that are tried, longest first, mm.
_LENGTHS = (1.5, 1.0, 0.6, 0.3)
#: Kept clear between a lead-in and any other outline, besides the beam itself, mm.
_CLEAR = 0.2


def with_leads(strokes: Sequence[Stroke], kerf: float, room: WorkArea) -> list[Stroke]:
    """Return the strokes with a lead-in before every closed cut that has room for one.

    Shape:
        Led ones come out open, ending where their outline began.

    Args:
        strokes: the beam's paths in order.
        kerf: width of the slot, mm.
        room: where cut lines may lie.
    """
    rings = [
        shapely.LinearRing(flattened(Outline(stroke.vertices), CHORD)) if _led(stroke) else None
        for stroke in strokes
    ]
    tree = shapely.STRtree([ring if ring is not None else shapely.Point() for ring in rings])
    area: BaseGeometry = shapely.Polygon(flattened(room.boundary, CHORD))
    for keep_out in room.keep_outs:
        area = area.difference(shapely.Polygon(flattened(keep_out, CHORD)))
    return [
        _with_lead(stroke, number, tree, area, kerf) if _led(stroke) else stroke
        for number, stroke in enumerate(strokes)
    ]


def _led(stroke: Stroke) -> bool:
    return stroke.closed and stroke.operation == "cut"


def _with_lead(
    stroke: Stroke, number: int, tree: shapely.STRtree, area: BaseGeometry, kerf: float
) -> Stroke:
    tip = stroke.vertices[0].point
    direction = _waste(stroke)
    for length in _LENGTHS:
        begin = ahead(tip, direction, length)
        way = shapely.LineString([begin, tip])
        if not area.covers(way):
            continue
        near = tree.query(way, predicate="dwithin", distance=kerf + _CLEAR)
        if all(int(other) == number for other in near) and _clear(begin, stroke, kerf, length):
            vertices = (Vertex(*begin), *stroke.vertices, Vertex(*tip))
            return replace(stroke, vertices=vertices, closed=False)
    return stroke


def _clear(begin: Point, stroke: Stroke, kerf: float, length: float) -> bool:
    """Tell whether a lead-in keeps off its own outline but for its end."""
    ring = shapely.LinearRing(flattened(Outline(stroke.vertices), CHORD))
    inside = shapely.Polygon(ring).contains(shapely.Point(begin))
    away = shapely.distance(ring, shapely.Point(begin))
    return bool(inside == (stroke.part == "hole") and away >= min(length, kerf + _CLEAR) / 2.0)


def _waste(stroke: Stroke) -> float:
    """Return the direction from the first vertex into waste, midway between its two edges."""
    parts = stroke.segments
    before, after = parts[-1].end_heading, parts[0].start_heading
    left = before + turn_between(before, after) / 2.0 + math.pi / 2.0
    return left if stroke.part == "hole" else left + math.pi
