"""The order and starting points of strokes: marks, then holes, then outlines."""

from __future__ import annotations

import math
from collections.abc import Sequence

from geometry.model.outline import Vertex
from geometry.model.plan import Stroke
from geometry.model.points import Point, distance
from geometry.toolpath.route import BEST, Search, shortest_way
from geometry.toolpath.route_neighbours import Ends
from geometry.toolpath.strokes import along, rank

#: Maximum starting vertices of a closed stroke; of more, evenly spread ones are used.
_ENTRIES = 16


def ordered(strokes: Sequence[Stroke], start: Point, *, search: Search = BEST) -> list[Stroke]:
    """Return the strokes with marks first, holes before outlines, and short travel.

    Args:
        strokes: in any order; closed ones may start at any vertex, open ones may be reversed.
        start: position of the tool.
        search: effort of the search for short travel.
    """
    done: list[Stroke] = []
    for kind in sorted({rank(stroke) for stroke in strokes}):
        group = [stroke for stroke in strokes if rank(stroke) == kind]
        way = shortest_way([_entries(stroke) for stroke in group], complex(*start), search=search)
        done.extend(_begun(group[stroke], entry) for stroke, entry in way)
        start = last_point(done[-1])
    return done


def travel(strokes: Sequence[Stroke], start: Point) -> float:
    """Return the length of travel between strokes from ``start``, mm."""
    total, at = 0.0, start
    for stroke in strokes:
        total += distance(at, stroke.vertices[0].point)
        at = last_point(stroke)
    return total


def last_point(stroke: Stroke) -> Point:
    """Return the tool's position after a stroke."""
    return (stroke.vertices[0] if stroke.closed else stroke.vertices[-1]).point


def _starts(stroke: Stroke) -> list[int]:
    count = len(stroke.vertices)
    step = math.ceil(count / _ENTRIES)
    return list(range(0, count, step))


def _entries(stroke: Stroke) -> list[Ends]:
    places = [complex(vertex.x, vertex.y) for vertex in stroke.vertices]
    if stroke.closed:
        return [(places[index], places[index]) for index in _starts(stroke)]
    if places[0] == places[-1]:
        return [(places[0], places[0])]
    return [(places[0], places[-1]), (places[-1], places[0])]


def _begun(stroke: Stroke, entry: int) -> Stroke:
    if stroke.closed:
        start = _starts(stroke)[entry]
        return along(stroke, stroke.vertices[start:] + stroke.vertices[:start], closed=True)
    return along(stroke, run_backwards(stroke), closed=False) if entry else stroke


def run_backwards(stroke: Stroke) -> tuple[Vertex, ...]:
    """Return the vertices of an open stroke in reverse."""
    bulges = [-vertex.bulge if vertex.bulge else 0.0 for vertex in stroke.vertices[:-1]][::-1]
    turned = stroke.vertices[::-1]
    return tuple(
        vertex._replace(bulge=bulge) for vertex, bulge in zip(turned, [*bulges, 0.0], strict=True)
    )
