"""Splits the edges of a network where they cross, and at nodes that lie on them."""

from __future__ import annotations

from collections import defaultdict
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.blocks.network import ROUNDING, Network
from geometry.errors import GeometryError
from geometry.inspection.crossings import meeting_shares
from geometry.model.points import Point
from geometry.segment_pairs import Indices, Numbers, Segments

#: Maximum places at which a drawing's lines cross.
MAX_CROSSINGS = 50_000
#: Nodes that are compared with all edges at a time; it bounds the memory.
_CHUNK = 512


class Touches(NamedTuple):
    """Nodes near edges that they do not end: numbers of both, share of the foot, distance."""

    node: Indices
    edge: Indices
    share: Numbers
    distance: Numbers


def split_at_crossings(network: Network) -> bool:
    """Split edges where they cross. Return whether any do.

    Raises:
        GeometryError: when there are too many crossings.
    """
    table = network.table()
    cuts: dict[int, list[tuple[float, int]]] = defaultdict(list)
    numbers: dict[tuple[float, float], int] = {}
    count = 0
    for near in table.near_pairs(ROUNDING):
        one, other = _without_corners(network, table, *near)
        for first, second, points in meeting_shares(table, one, other):
            met = np.isfinite(first) & np.isfinite(second)
            inner = _is_inner(first, table, one), _is_inner(second, table, other)
            met &= inner[0] | inner[1]
            count += int(met.sum())
            if count > MAX_CROSSINGS:
                raise GeometryError(
                    f"The lines cross at more than {MAX_CROSSINGS} places; a block has fewer."
                )
            for at in np.flatnonzero(met).tolist():
                rows = (int(one[at]), float(first[at])), (int(other[at]), float(second[at]))
                is_inner = bool(inner[0][at]), bool(inner[1][at])
                _cut(network, cuts, numbers, rows, is_inner, Point(*points[at].tolist()))
    network.split(cuts)
    return bool(cuts)


def _without_corners(
    network: Network, table: Segments, one: Indices, other: Indices
) -> tuple[Indices, Indices]:
    """Return pairs of edges without those of lines with a common node, which cross nowhere else."""
    first, last = network.ends().T
    meet = (first[one] == first[other]) | (first[one] == last[other])
    meet |= (last[one] == first[other]) | (last[one] == last[other])
    kept = ~meet | table.is_arc[one] | table.is_arc[other]
    return one[kept], other[kept]


def _is_inner(share: Numbers, table: Segments, index: Indices) -> NDArray[np.bool_]:
    length = table.lengths[index]
    with np.errstate(invalid="ignore"):
        return np.asarray((share * length > ROUNDING) & ((1.0 - share) * length > ROUNDING))


def _cut(
    network: Network,
    cuts: dict[int, list[tuple[float, int]]],
    numbers: dict[tuple[float, float], int],
    rows: tuple[tuple[int, float], tuple[int, float]],
    is_inner: tuple[bool, bool],
    point: Point,
) -> None:
    """Keep where one crossing cuts its two edges."""
    if all(is_inner):
        key = (round(point.x, 6) + 0.0, round(point.y, 6) + 0.0)
        node = numbers.setdefault(key, len(network.nodes))
        if node == len(network.nodes):
            network.add(point)
    else:
        # The end of the one that does not go on.
        which, share = rows[is_inner.index(False)]
        edge = network.edges[which]
        node = edge.first if share < 0.5 else edge.last  # noqa: PLR2004 - the nearer end
    for (which, share), inner in zip(rows, is_inner, strict=True):
        if inner:
            cuts[which].append((share, node))


def touches(network: Network, reach: float) -> Touches:
    """Return nodes that lie within ``reach`` mm of edges, at a foot between the edges' ends."""
    table = network.table()
    points = network.points()
    low, high = table.boxes[:, :2] - reach, table.boxes[:, 2:] + reach
    tree = polygons.STRtree(polygons.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
    first, last = network.ends().T
    used = np.zeros(len(points), dtype=bool)
    used[first], used[last] = True, True
    rows: list[Touches] = []
    # Some at a time: the boxes of long slanting lines may hold all nodes.
    for begin in range(0, len(points), _CHUNK):
        node, edge = tree.query(polygons.points(points[begin : begin + _CHUNK]))
        node = node + begin
        kept = (node != first[edge]) & (node != last[edge]) & used[node]
        node, edge = node[kept], edge[kept]
        share, distance = feet(table, edge, points[node])
        kept = (distance <= reach) & _is_inner(share, table, edge)
        rows.append(Touches(node[kept], edge[kept], share[kept], distance[kept]))
    return Touches(*(np.concatenate(column) for column in zip(*rows, strict=True)))


def feet(table: Segments, edge: Indices, points: Numbers) -> tuple[Numbers, Numbers]:
    """Return the shares of the feet of points on segments, and the distances to them.

    The share is not a number where a foot lies beyond the segment's ends.
    """
    away = points - table.start[edge]
    length = np.maximum(table.length[edge], 1e-300)
    unit = table.chord[edge] / length[:, None]
    share = (away * unit).sum(axis=1) / length
    distance = np.abs(unit[:, 0] * away[:, 1] - unit[:, 1] * away[:, 0])
    is_arc = table.is_arc[edge]
    if is_arc.any():
        arcs, outward = edge[is_arc], points[is_arc] - table.centre[edge[is_arc]]
        begin = np.arctan2(*(table.start[arcs] - table.centre[arcs]).T[::-1])
        turn = np.arctan2(*outward.T[::-1]) - begin
        sweep = 4.0 * np.arctan(table.bulge[arcs])
        turn = np.where(sweep > 0.0, turn % (2 * np.pi), -((-turn) % (2 * np.pi)))
        share[is_arc] = turn / sweep
        distance[is_arc] = np.abs(np.hypot(*outward.T) - table.radius[arcs])
    share = np.where((share >= 0.0) & (share <= 1.0), share, np.nan)
    return share, distance


def split_at_touches(network: Network) -> bool:
    """Split edges at nodes that lie on them. Return whether any do."""
    found = touches(network, ROUNDING)
    cuts: dict[int, list[tuple[float, int]]] = defaultdict(list)
    for node, edge, share in zip(
        found.node.tolist(), found.edge.tolist(), found.share.tolist(), strict=True
    ):
        cuts[edge].append((share, node))
    network.split(cuts)
    return bool(cuts)
