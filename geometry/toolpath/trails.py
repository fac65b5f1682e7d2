"""Finds the fewest strokes that cover every edge of a network once.

Source:
    Euler: a connected network has one trail if at most two corners have an odd number of edges,
        otherwise half as many trails as odd corners. The method joins odd corners in pairs, finds
        Hierholzer's circuit (1873), and removes the joins.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from geometry.model.merging import merge_neighbours
from geometry.model.outline import Vertex
from geometry.model.points import distance, turn_between
from geometry.model.segments import Line, Segment
from geometry.toolpath.shared_edges import SharedEdge

#: Up to this many odd corners, the nearest partners are joined; above it, consecutive ones.
_SOUGHT = 1_200
#: A turn below this, rad, is straight.
_STRAIGHT = 1.0e-9


def odd_corners(edges: Sequence[SharedEdge]) -> list[int]:
    """Return the corners with an odd number of edges, in order of first appearance."""
    count: dict[int, int] = {}
    for edge in edges:
        for end in edge.ends:
            count[end] = count.get(end, 0) + 1
    return [corner for corner, times in count.items() if times % 2]


def trails(edges: Sequence[SharedEdge]) -> list[list[tuple[int, Segment]]]:
    """Return strokes as rows of edges, each with its number and the directed segment.

    Shape:
        The minimum number: half the odd corners of each connected part, but at least one.
    """
    found: list[list[tuple[int, Segment]]] = []
    for part in _connected(edges):
        found.extend(_cover(edges, part))
    return found


def _connected(edges: Sequence[SharedEdge]) -> list[list[int]]:
    parent: dict[int, int] = {}

    def root(corner: int) -> int:
        parent.setdefault(corner, corner)
        while parent[corner] != corner:
            parent[corner] = parent[parent[corner]]
            corner = parent[corner]
        return corner

    for edge in edges:
        parent[root(edge.ends[0])] = root(edge.ends[1])
    parts: dict[int, list[int]] = {}
    for number, edge in enumerate(edges):
        parts.setdefault(root(edge.ends[0]), []).append(number)
    return list(parts.values())


def _cover(edges: Sequence[SharedEdge], part: Sequence[int]) -> list[list[tuple[int, Segment]]]:
    ends = {number: edges[number].ends for number in part}
    joins = _joins(edges, part)
    for index, pair in enumerate(joins):
        ends[-1 - index] = pair
    start = joins[0][0] if joins else edges[part[0]].ends[0]
    circuit = _circuit(edges, ends, start)
    if not joins:
        return [[step for step in circuit if step is not None]]
    cut = circuit.index(None)
    rows: list[list[tuple[int, Segment]]] = [[]]
    for step in circuit[cut + 1 :] + circuit[:cut]:
        if step is None:
            rows.append([])
        else:
            rows[-1].append(step)
    return [row for row in rows if row]


def _joins(edges: Sequence[SharedEdge], part: Sequence[int]) -> list[tuple[int, int]]:
    """Pair odd corners, near ones first, because the tool travels between them."""
    own = [edges[number] for number in part]
    left = odd_corners(own)
    place = {}
    for edge in own:
        place[edge.ends[0]], place[edge.ends[1]] = edge.part.start, edge.part.end
    joins = []
    if len(left) > _SOUGHT:
        rows = sorted(left, key=lambda corner: (round(place[corner].y, 1), place[corner].x, corner))
        return list(zip(rows[::2], rows[1::2], strict=True))
    while left:
        first = left.pop(0)
        near = min(left, key=lambda other: (distance(place[first], place[other]), other))
        left.remove(near)
        joins.append((first, near))
    return joins


def _circuit(
    edges: Sequence[SharedEdge], ends: dict[int, tuple[int, int]], start: int
) -> list[tuple[int, Segment] | None]:
    """Return a closed path over all edges and joins (``None``), straight where possible."""
    about: dict[int, list[int]] = {}
    for number, (a, b) in ends.items():
        about.setdefault(a, []).append(number)
        about.setdefault(b, []).append(number)
    used: set[int] = set()
    stack: list[tuple[int, tuple[int, Segment] | None]] = [(start, None)]
    done: list[tuple[int, Segment] | None] = []
    while stack:
        corner, came = stack[-1]
        free = [number for number in about[corner] if number not in used]
        about[corner] = free
        if not free:
            stack.pop()
            if stack:
                done.append(came)
            continue
        number = min(free, key=lambda each: _bend(edges, each, corner, came))
        used.add(number)
        a, b = ends[number]
        stack.append((b if corner == a else a, _run(edges, number, corner)))
    return done[::-1]


def _run(edges: Sequence[SharedEdge], number: int, corner: int) -> tuple[int, Segment] | None:
    if number < 0:
        return None
    edge = edges[number]
    return number, edge.part if edge.ends[0] == corner else edge.part.reversed()


def _bend(
    edges: Sequence[SharedEdge], number: int, corner: int, came: tuple[int, Segment] | None
) -> tuple[float, int]:
    """Return the bend of the path onto an edge; joins come last."""
    step = _run(edges, number, corner)
    if step is None:
        return math.inf, number
    if came is None:
        return 0.0, number
    return round(abs(turn_between(came[1].end_heading, step[1].start_heading)), 9), number


def vertices_of(row: Sequence[Segment]) -> tuple[tuple[Vertex, ...], bool]:
    """Return the vertices of a row of joined segments, and whether it is closed.

    Shape:
        Collinear consecutive lines are merged.
    """
    kept = merge_neighbours(row, _one_line)
    closed = row[0].start == row[-1].end and len(kept) > 1
    vertices = [Vertex(*part.start, part.bulge) for part in kept]
    if not closed:
        vertices.append(Vertex(*kept[-1].end))
    return tuple(vertices), closed


def _one_line(first: Segment, last: Segment) -> Segment | None:
    """Return two consecutive edges as one, or ``None`` unless they are on one straight line."""
    if not (isinstance(first, Line) and isinstance(last, Line)):
        return None
    is_straight = abs(turn_between(first.end_heading, last.start_heading)) < _STRAIGHT
    return Line(first.start, last.end) if is_straight else None
