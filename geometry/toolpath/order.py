"""Short ways between strokes: which comes next and where it starts.

Source:
    Nearest neighbour, then 2-opt and or-opt moves until none helps; textbook heuristics of the
    travelling salesman problem (Lawler and others, "The Traveling Salesman Problem", 1985).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from geometry.model.outline import Outline, Vertex
from geometry.model.plan import Stroke
from geometry.model.points import Point, distance
from geometry.toolpath.strokes import rank

#: Strokes of one group up to which neighbours are exchanged; beyond it rows are short enough.
_EXCHANGED = 400


def ordered(strokes: Sequence[Stroke], start: Point) -> list[Stroke]:
    """Return the strokes with marks first, holes before outlines, and short ways between.

    Args:
        strokes: in any order; closed ones may be started at any vertex, open ones run either
            way.
        start: where the tool stands.
    """
    done: list[Stroke] = []
    for kind in sorted({rank(stroke) for stroke in strokes}):
        group = [stroke for stroke in strokes if rank(stroke) == kind]
        route = _exchanged(_nearest_first(group, start), start)
        done.extend(_started(route, start))
        start = done[-1].vertices[0].point if done[-1].closed else done[-1].vertices[-1].point
    return done


def travel(strokes: Sequence[Stroke], start: Point) -> float:
    """Return the length of the ways between strokes, mm, from ``start`` on."""
    total, at = 0.0, start
    for stroke in strokes:
        total += distance(at, stroke.vertices[0].point)
        at = stroke.vertices[0].point if stroke.closed else stroke.vertices[-1].point
    return total


def _middle(stroke: Stroke) -> Point:
    xs = [vertex.x for vertex in stroke.vertices]
    ys = [vertex.y for vertex in stroke.vertices]
    return Point((min(xs) + max(xs)) / 2.0, (min(ys) + max(ys)) / 2.0)


def _nearest_first(group: list[Stroke], start: Point) -> list[Stroke]:
    """Order a group by always going to the nearest that is left."""
    middles = [_middle(stroke) for stroke in group]
    # Cells about as large as a piece: the nearest is then a few cells away, not in a list of all.
    size = max(1.0, math.sqrt(_spread(middles) / max(1, len(group))))
    cells: dict[tuple[int, int], list[int]] = {}
    for index, middle in enumerate(middles):
        cells.setdefault(_cell(middle, size), []).append(index)
    route, at = [], start
    for _ in group:
        best = _pop_nearest(cells, middles, at, size)
        route.append(group[best])
        at = middles[best]
    return route


def _spread(points: list[Point]) -> float:
    xs, ys = [p.x for p in points], [p.y for p in points]
    return max(1.0, (max(xs) - min(xs) + 1.0) * (max(ys) - min(ys) + 1.0))


def _cell(point: Point, size: float) -> tuple[int, int]:
    return math.floor(point.x / size), math.floor(point.y / size)


def _pop_nearest(
    cells: dict[tuple[int, int], list[int]], middles: list[Point], at: Point, size: float
) -> int:
    """Take out the stroke nearest to a point, looking at ring after ring of cells."""
    cx, cy = _cell(at, size)
    # Far from everything a walk over rings would be longer than one over what is left.
    reach = 0
    best: tuple[float, int] | None = None
    rings = 12
    while reach <= rings and (best is None or best[0] > (reach - 1) * size):
        for cell in _ring_of(cx, cy, reach):
            for index in cells.get(cell, ()):
                candidate = (distance(at, middles[index]), index)
                if best is None or candidate < best:
                    best = candidate
        reach += 1
    if best is None:
        best = min((distance(at, middles[i]), i) for group in cells.values() for i in group)
    cell = _cell(middles[best[1]], size)
    cells[cell].remove(best[1])
    if not cells[cell]:
        del cells[cell]
    return best[1]


def _ring_of(cx: int, cy: int, reach: int) -> list[tuple[int, int]]:
    if reach == 0:
        return [(cx, cy)]
    span = range(-reach, reach + 1)
    return [
        *((cx + dx, cy + reach * side) for dx in span for side in (-1, 1)),
        *((cx + reach * side, cy + dy) for dy in span[1:-1] for side in (-1, 1)),
    ]


def _exchanged(route: list[Stroke], start: Point) -> list[Stroke]:
    """Turn stretches of the route round while that shortens it."""
    if len(route) > _EXCHANGED:
        return route
    points = [start, *(_middle(stroke) for stroke in route)]
    order = list(range(1, len(points)))
    for _ in range(12):
        if not _one_pass(points, order):
            break
    return [route[index - 1] for index in order]


def _one_pass(points: list[Point], order: list[int]) -> bool:
    better = False
    count = len(order)
    for first in range(count - 1):
        before = points[order[first - 1]] if first else points[0]
        for last in range(first + 1, count):
            after = points[order[last + 1]] if last + 1 < count else None
            head, tail = points[order[first]], points[order[last]]
            now = distance(before, head) + (distance(tail, after) if after else 0.0)
            then = distance(before, tail) + (distance(head, after) if after else 0.0)
            if then < now - 1e-9:
                order[first : last + 1] = order[first : last + 1][::-1]
                better = True
    return better


def _started(route: list[Stroke], start: Point) -> list[Stroke]:
    """Start each stroke where it is nearest to the end of the one before."""
    done, at = [], start
    for stroke in route:
        begun = _begun_near(stroke, at)
        done.append(begun)
        at = begun.vertices[0].point if begun.closed else begun.vertices[-1].point
    return done


def _begun_near(stroke: Stroke, at: Point) -> Stroke:
    vertices = stroke.vertices
    if stroke.closed:
        near = min(range(len(vertices)), key=lambda index: distance(at, vertices[index].point))
        return replace(stroke, vertices=Outline(vertices).started_at(near).vertices)
    if distance(at, vertices[-1].point) < distance(at, vertices[0].point):
        return replace(stroke, vertices=run_backwards(stroke))
    return stroke


def run_backwards(stroke: Stroke) -> tuple[Vertex, ...]:
    """Return the vertices of an open stroke run the other way."""
    bulges = [-vertex.bulge if vertex.bulge else 0.0 for vertex in stroke.vertices[:-1]][::-1]
    turned = stroke.vertices[::-1]
    return tuple(
        vertex._replace(bulge=bulge) for vertex, bulge in zip(turned, [*bulges, 0.0], strict=True)
    )
