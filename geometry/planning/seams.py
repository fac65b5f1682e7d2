"""The amount of sewing: edges shared by two pieces, and their stitches."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.model.outline import Outline
from geometry.model.segments import Arc, Segment
from geometry.planning.assembly import Assembly
from geometry.units import MM_PER_INCH

#: Edges with middles closer than this are equal, mm: far above rounding, far below the distance
#: between two edges of one piece.
_SAME = 1e-2
#: Two grids, so that a middle at the border of one grid's cells is well inside those of the other.
_GRIDS = (0.0, 0.37)


#: Directions closer than this, rad, are equal.
_PARALLEL = 1e-6

#: Arcs longer than this, rad, are sewn to two neighbours.
_MORE_THAN_A_QUARTER = 0.6 * math.pi


@dataclass(frozen=True)
class Seams:
    """Lengths of edges, mm: between two pieces, and round the quilt top."""

    length: float
    count: int
    outside: float


def seams_of(assembly: Assembly) -> Seams:
    """Return the seams of a quilt top.

    Shape:
        A trimmed piece is sewn whole: its edges beyond the quilt's edge count if they lie on
        another piece.
    """
    known: dict[int, tuple[Outline, NDArray[Any]]] = {}
    rows: list[NDArray[Any]] = []
    for piece in assembly.placed:
        outline = assembly.shape(piece)
        if id(outline) not in known:
            edges = [_row(edge) for each in outline.segments for edge in _quarters(each)]
            known[id(outline)] = (outline, np.array(edges))
        rows.append(known[id(outline)][1] + (piece.x, piece.y, 0.0, 0.0, 0.0))
    if not rows:
        return Seams(0.0, 0, 0.0)
    edges_of_all = np.concatenate(rows)
    total = math.fsum(edges_of_all[:, 2].tolist())
    left, pairs = edges_of_all, 0
    for shift in _GRIDS:
        left, found = _unpaired(left, shift)
        pairs += found
    shared, more = _overlapping(left)
    outside = math.fsum(left[:, 2].tolist()) - 2.0 * shared
    return Seams(length=(total - outside) / 2.0, count=pairs + more, outside=outside)


def _row(edge: Segment) -> tuple[float, ...]:
    """Return an edge's middle, its length, and its direction if it is straight."""
    way = (0.0, 0.0)
    if not isinstance(edge, Arc):
        way = (edge.end.x - edge.start.x, edge.end.y - edge.start.y)
        # Both edges of a seam have one direction: to the right, or upwards.
        back = way[0] < -_PARALLEL * edge.length or (
            abs(way[0]) <= _PARALLEL * edge.length and way[1] < 0.0
        )
        scale = (-1.0 if back else 1.0) / edge.length
        way = (way[0] * scale, way[1] * scale)
    return (*edge.point_at(0.5), edge.length, *way)


def _overlapping(edges: NDArray[Any]) -> tuple[float, int]:
    """Return the length and number of seams where an edge lies on parts of others.

    A large piece's edge is sewn to several small ones, whose middles are elsewhere.
    """
    straight = edges[np.any(edges[:, 3:] != 0.0, axis=1)]
    if not len(straight):
        return 0.0, 0
    x, y, length, along_x, along_y = straight.T
    angle = np.arctan2(along_y, along_x)
    offset = along_x * y - along_y * x
    place = along_x * x + along_y * y
    shared, count = 0.0, 0
    order = np.lexsort((offset, np.round(angle, 6)))
    lines = np.flatnonzero(
        (np.abs(np.diff(angle[order])) > _PARALLEL) | (np.abs(np.diff(offset[order])) > _SAME)
    )
    low, high = place - length / 2.0, place + length / 2.0
    for line in np.split(order, lines + 1):
        starts = [(each, 1) for each in low[line].tolist()]
        depth, since = 0, 0.0
        for position, change in sorted(starts + [(each, -1) for each in high[line].tolist()]):
            if depth > 1 and position - since > _SAME:
                shared += position - since
                count += 1
            depth, since = depth + change, position
    return shared, count


def _quarters(edge: Segment) -> list[Segment]:
    """Return a half circle as two quarters, because a clamshell's top lies on two neighbours."""
    if isinstance(edge, Arc) and abs(edge.sweep) > _MORE_THAN_A_QUARTER:
        return [edge.between(0.0, 0.5), edge.between(0.5, 1.0)]
    return [edge]


def _unpaired(edges: NDArray[Any], shift: float) -> tuple[NDArray[Any], int]:
    """Return the edges that no other equals in middle and length, and the number of pairs."""
    cells = np.floor(edges[:, :3] / _SAME + shift).astype(np.int64)
    _, inverse, counts = np.unique(cells, axis=0, return_inverse=True, return_counts=True)
    single = counts[inverse.reshape(-1)] == 1
    return edges[single], int(np.count_nonzero(~single)) // 2


def whipstitches(length: float, per_inch: float) -> int:
    """Return the number of whipstitches for a length of seams.

    Source:
        6 to 16 per inch are usual in hand sewing; common practice.
    """
    return math.ceil(length / MM_PER_INCH * per_inch - 1e-9)
