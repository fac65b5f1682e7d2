"""Where one piece may not lie beside another: the no-fit polygon, with the gap about it.

Source:
    Minkowski sum of one polygon with the other mirrored through its origin; for convex polygons
    by merging edges in order of direction, else the union over convex parts. Standard in the
    nesting literature (Bennell and Oliveira, "The geometry of nesting problems: a tutorial",
    European Journal of Operational Research 184, 2008).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from geometry import polygons
from geometry.layout.fitting.holding_polygons import Coordinates, holding_polygon, is_convex
from geometry.model.outline import Outline

#: Segments of the quarter circle about a corner of the no-fit polygon.
_QUARTER = 16
#: Edges above which the disc of the gap is not fitted to every one of them.
_MAX_NORMALS = 64


@lru_cache(maxsize=1024)
def no_fit(first: Outline, second: Outline, gap: float) -> Coordinates:
    """Return the outer ring of the places where ``second`` comes nearer ``first`` than the gap.

    Shape:
        (n, 2), counter-clockwise, first repeated at the end. A place is the translation of
        ``second`` from where it is drawn.
    """
    beside = [_by_direction(other) for other in convex_parts(-holding_polygon(second))]
    parts = convex_parts(holding_polygon(first))
    if gap:
        disc = _disc(parts, [edges for _, edges, _ in beside], gap)
        parts = [_sum(_by_direction(part), disc) for part in parts]
    sums = [
        polygons.Polygon(_sum(part, other))
        for part in map(_by_direction, parts)
        for other in beside
    ]
    whole = polygons.union_all(sums) if len(sums) > 1 else sums[0]
    # Parts of one outline always touch; only rounding can part their sums.
    largest = max(polygons.get_parts(whole), key=polygons.area)
    ring = polygons.get_exterior_ring(polygons.orient_polygons(largest))
    return np.array(polygons.get_coordinates(ring))


#: A convex polygon from where its edges' directions begin to rise, its edges, their directions.
_Directed = tuple[Coordinates, Coordinates, Coordinates]


def _disc(parts: list[Coordinates], others: list[Coordinates], gap: float) -> _Directed:
    """Return a polygon that holds the disc of the gap, tangent to it along every edge given."""
    edges = [*(_after(part) - part for part in parts), *others]
    normals = np.concatenate([np.arctan2(each[:, 1], each[:, 0]) for each in edges]) - math.pi / 2.0
    round_ = np.arange(4 * _QUARTER) * (math.tau / (4 * _QUARTER))
    # Of many directions, as arcs have them, those of the disc itself are enough.
    normals = normals if len(normals) <= _MAX_NORMALS else normals[:0]
    angles = np.unique(np.round(np.concatenate([normals, round_]) % math.tau, 9))
    following = _after(angles)
    following[-1] += math.tau
    # The disc of the gap, held by its tangents at every one of these directions.
    middle, half = (angles + following) / 2.0, (following - angles) / 2.0
    reach = gap / np.cos(half)
    return _by_direction(np.column_stack([reach * np.cos(middle), reach * np.sin(middle)]))


def _after(values: Coordinates) -> Coordinates:
    """Return each row's successor, the first after the last."""
    following: Coordinates = np.concatenate([values[1:], values[:1]])
    return following


def convex_sum(a: Coordinates, b: Coordinates) -> Coordinates:
    """Return the Minkowski sum of two convex counter-clockwise polygons."""
    return _sum(_by_direction(a), _by_direction(b))


def _sum(first: _Directed, second: _Directed) -> Coordinates:
    (a, edges_a, turns_a), (b, edges_b, turns_b) = first, second
    order = np.argsort(np.concatenate([turns_a, turns_b]), kind="stable")
    edges = np.concatenate([edges_a, edges_b])[order]
    start = a[0] + b[0]
    ring: Coordinates = np.concatenate([[start], start + np.cumsum(edges, axis=0)[:-1]])
    return ring


def _by_direction(polygon: Coordinates) -> _Directed:
    """Return a polygon from where its edges' directions begin to rise, its edges, their turns.

    The start and the order of edges come from the same rounded directions: were the start found
    by height, a lowest edge that tilts by rounding could part the two.
    """
    edges = _after(polygon) - polygon
    turn = np.arctan2(edges[:, 1], edges[:, 0]) % math.tau
    # An edge level to within rounding belongs at the start, not a full turn later.
    turn[turn > math.tau - 1e-9] = 0.0
    first = int(np.argmax(np.concatenate([turn[-1:], turn[:-1]]) - turn))
    if not first:
        return polygon, edges, turn
    order = np.concatenate([np.arange(first, len(polygon)), np.arange(first)])
    return polygon[order], edges[order], turn[order]


def convex_parts(polygon: Coordinates) -> list[Coordinates]:
    """Return convex counter-clockwise polygons that make up a simple polygon."""
    if is_convex(polygon):
        return [polygon]
    return _parts(polygon.tobytes())


@lru_cache(maxsize=512)
def _parts(ring: bytes) -> list[Coordinates]:
    corners = np.frombuffer(ring).reshape(-1, 2)
    # Ear by ear, then neighbours merged while they stay convex: few parts, few sums.
    found = polygons.get_parts(polygons.constrained_delaunay_triangles(polygons.Polygon(corners)))
    numbers = {corner: at for at, corner in enumerate(map(tuple, corners.tolist()))}
    triangles = [
        [numbers[corner] for corner in map(tuple, polygons.outer_ring(each).tolist())]
        for each in found
        if each.area > 0.0
    ]
    return [corners[part] for part in _merged(triangles, corners.tolist())]


def _merged(parts: list[list[int]], corners: list[list[float]]) -> list[list[int]]:
    """Return parts given by their corners' numbers, merged across shared edges while convex.

    Source:
        S. Hertel and K. Mehlhorn, "Fast triangulation of simple polygons", FCT 1983, LNCS 158:
        diagonals that no convex part needs are left out.
    """
    beside = {edge: part for part in parts for edge in _edges(part)}
    for a, b in [edge for edge in beside if edge[0] < edge[1] and edge[::-1] in beside]:
        one, other = beside[a, b], beside[b, a]
        # All of one from b round to a, then what the other has between them.
        at, to = one.index(b), other.index(a)
        whole = one[at:] + one[:at] + (other[to:] + other[:to])[1:-1]
        if is_convex(np.array([corners[each] for each in whole])):
            beside.update(dict.fromkeys(_edges(whole), whole))
            del beside[a, b], beside[b, a]
    return list({id(part): part for part in beside.values()}.values())


def _edges(part: list[int]) -> list[tuple[int, int]]:
    return list(zip(part, [*part[1:], part[0]], strict=True))
