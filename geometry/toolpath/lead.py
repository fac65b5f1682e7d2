"""Lead-ins: a beam starts in waste, so that the burn of piercing does not mark an edge."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from geometry import polygons
from geometry.measure import flattened
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline, Vertex
from geometry.model.plan import Stroke
from geometry.model.points import Point, ahead, turn_between
from geometry.tolerance import CHORD

#: Lengths of lead-ins to try, longest first, mm.
_LENGTHS = (1.5, 1.0, 0.6, 0.3)
#: Clearance between a lead-in and other outlines, in addition to the beam's width, mm.
_CLEAR = 0.2


def with_leads(strokes: Sequence[Stroke], kerf: float, room: WorkArea) -> list[Stroke]:
    """Return the strokes, with a lead-in before every closed cut that has room for one.

    Shape:
        Strokes with a lead-in are open and end where their outline starts.

    Args:
        strokes: the beam's paths in order.
        kerf: width of the slot, mm.
        room: area for cut lines.
    """
    led = [number for number, stroke in enumerate(strokes) if _led(stroke)]
    if not led:
        return list(strokes)
    rings = {
        number: polygons.LinearRing(flattened(Outline(strokes[number].vertices), CHORD))
        for number in led
    }
    done = list(strokes)
    for number, begin in _begins(strokes, rings, kerf, room):
        tip = strokes[number].vertices[0]
        vertices = (Vertex(*begin), *strokes[number].vertices, Vertex(*tip.point))
        done[number] = replace(strokes[number], vertices=vertices, closed=False)
    return done


def _led(stroke: Stroke) -> bool:
    return stroke.closed and stroke.operation == "cut"


def _begins(
    strokes: Sequence[Stroke],
    rings: Mapping[int, polygons.LinearRing],
    kerf: float,
    room: WorkArea,
) -> Iterator[tuple[int, Point]]:
    """Yield the start of each lead-in that has room, with the stroke's number."""
    owners = [number for number in rings for _ in _LENGTHS]
    tips = {number: strokes[number].vertices[0].point for number in rings}
    directions = {number: _waste(strokes[number]) for number in rings}
    begins = [
        ahead(tips[number], directions[number], length) for number in rings for length in _LENGTHS
    ]
    ways = polygons.linestrings(
        [(begin, tips[number]) for number, begin in zip(owners, begins, strict=True)]
    )
    area: polygons.BaseGeometry = polygons.flattened_polygon(room.boundary, CHORD)
    for keep_out in room.keep_outs:
        area = area.difference(polygons.flattened_polygon(keep_out, CHORD))
    polygons.prepare(area)
    free = polygons.covers(area, ways)
    numbers = list(rings)
    tree = polygons.STRtree(list(rings.values()))
    asked, near = tree.query(ways, predicate="dwithin", distance=kerf + _CLEAR)
    for way, other in zip(asked, near, strict=True):
        if numbers[other] != owners[way]:
            free[way] = False
    left = set(rings)
    for way, number in enumerate(owners):
        length = _LENGTHS[way % len(_LENGTHS)]
        if (
            number in left
            and free[way]
            and _clear(
                begins[way], rings[number], kerf, length, hole=strokes[number].part == "hole"
            )
        ):
            left.discard(number)
            yield number, begins[way]


def _clear(
    begin: Point, ring: polygons.LinearRing, kerf: float, length: float, *, hole: bool
) -> bool:
    """Return whether a lead-in touches its own outline only at its end."""
    inside = polygons.contains_xy(polygons.Polygon(ring), *begin)
    away = polygons.distance(ring, polygons.Point(begin))
    return bool(inside == hole and away >= min(length, kerf + _CLEAR) / 2.0)


def _waste(stroke: Stroke) -> float:
    """Return the direction from the first vertex into waste, midway between its two edges."""
    parts = stroke.segments
    before, after = parts[-1].end_heading, parts[0].start_heading
    left = before + turn_between(before, after) / 2.0 + math.pi / 2.0
    return left if stroke.part == "hole" else left + math.pi
