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
            edges = [
                (*edge.point_at(0.5), edge.length)
                for each in outline.segments
                for edge in _quarters(each)
            ]
            known[id(outline)] = (outline, np.array(edges))
        rows.append(known[id(outline)][1] + (piece.x, piece.y, 0.0))
    if not rows:
        return Seams(0.0, 0, 0.0)
    edges_of_all = np.concatenate(rows)
    total = math.fsum(edges_of_all[:, 2].tolist())
    left, pairs = edges_of_all, 0
    for shift in _GRIDS:
        left, found = _unpaired(left, shift)
        pairs += found
    outside = math.fsum(left[:, 2].tolist())
    return Seams(length=(total - outside) / 2.0, count=pairs, outside=outside)


def _quarters(edge: Segment) -> list[Segment]:
    """Return a half circle as two quarters, because a clamshell's top lies on two neighbours."""
    if isinstance(edge, Arc) and abs(edge.sweep) > _MORE_THAN_A_QUARTER:
        return [edge.between(0.0, 0.5), edge.between(0.5, 1.0)]
    return [edge]


def _unpaired(edges: NDArray[Any], shift: float) -> tuple[NDArray[Any], int]:
    """Return the unpaired edges, and the number of pairs."""
    cells = np.floor(edges[:, :2] / _SAME + shift).astype(np.int64)
    _, inverse, counts = np.unique(cells, axis=0, return_inverse=True, return_counts=True)
    single = counts[inverse.reshape(-1)] == 1
    return edges[single], int(np.count_nonzero(~single)) // 2


def whipstitches(length: float, per_inch: float) -> int:
    """Return the number of whipstitches for a length of seams.

    Source:
        6 to 16 per inch are usual in hand sewing; common practice.
    """
    return math.ceil(length / MM_PER_INCH * per_inch - 1e-9)
