"""Snaps the ends of lines to each other and to other lines, within a tolerance."""

from __future__ import annotations

import heapq
import math
from collections import defaultdict

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.blocks.crossings import touches
from geometry.blocks.network import ROUNDING, Network, Sets
from geometry.errors import GeometryError
from geometry.model.points import distance
from geometry.segment_pairs import Indices

#: Corners of one path that are joined along lines up to this many tolerances long stay apart.
_ALONG = 20.0
#: Pairs of ends within the tolerance of each other that are compared at most.
_MAX_PAIRS = 2_000_000.0
#: Makes one number of a square's two, almost always another for each square.
_MIXED = np.array([1_000_003, 998_244_353], dtype=np.int64)


def merge_nodes(network: Network, tolerance: float) -> bool:
    """Make one node of those that lie within the tolerance of each other, nearest first.

    Two nodes joined by an edge stay apart, so that a curve drawn as many short lines keeps them; so
    do two corners of one path that are near each other along it, where lines already meet. Return
    whether any node moved by more than rounding.
    """
    pairs = _near_pairs(network, tolerance)
    if not pairs:
        return False
    merging = _Merging(network, tolerance)
    moved = False
    for gap, a, b in pairs:
        first, second = merging.ordered(a, b)
        if first == second:
            continue
        if gap > ROUNDING:
            if not merging.may_join(first, second):
                continue
            network.note("gap", network.nodes[second], gap)
            network.moved.add(first)
            moved = True
        merging.join(first, second)
    network.renumber([merging.sets.find(node) for node in range(len(network.nodes))])
    return moved


def _near_pairs(network: Network, tolerance: float) -> list[tuple[float, int, int]]:
    """Return the pairs of used nodes within the tolerance, with their distance, nearest first."""
    points = network.points()
    _refuse_heaps(points, tolerance)
    places = polygons.points(points)
    tree = polygons.STRtree(places)
    one, other = tree.query(places, predicate="dwithin", distance=tolerance)
    used = np.zeros(len(points), dtype=bool)
    used[network.ends().ravel()] = True
    kept = (one < other) & used[one] & used[other]
    return sorted(
        (distance(network.nodes[a], network.nodes[b]), a, b)
        for a, b in zip(one[kept].tolist(), other[kept].tolist(), strict=True)
    )


class _AtNodes(dict[int, set[int]]):
    """Something of the edges at each node, collected where it is looked up."""

    def __init__(self, ends: Indices, values: Indices) -> None:
        super().__init__()
        order = np.argsort(ends.ravel(), kind="stable")
        self._nodes, self._values = ends.ravel()[order], values.ravel()[order]

    def __missing__(self, node: int) -> set[int]:
        first, last = np.searchsorted(self._nodes, (node, node + 1))
        found = self[node] = set(self._values[first:last].tolist())
        return found


class _Merging:
    """Which nodes have become one, and what meets at each."""

    def __init__(self, network: Network, tolerance: float) -> None:
        self._nodes, self._tolerance = network.nodes, tolerance
        self._degrees = network.degrees()
        self.sets = Sets(len(network.nodes))
        ends = network.ends()
        paths = np.array([edge.path for edge in network.edges], dtype=np.intp)
        self.beside = _AtNodes(ends, ends[:, ::-1])
        self._paths = _AtNodes(ends, np.stack([paths, paths], axis=1))

    def ordered(self, one: int, other: int) -> tuple[int, int]:
        """Return what two nodes have become; the one that keeps its place comes first."""
        first, second = self.sets.find(one), self.sets.find(other)
        # It is the node at which more lines meet already.
        if (self._degrees[second], -second) > (self._degrees[first], -first):
            first, second = second, first
        return first, second

    def may_join(self, first: int, second: int) -> bool:
        """Return whether the second may move to the first."""
        if distance(self._nodes[first], self._nodes[second]) > self._tolerance:
            return False
        fewer = min(self._degrees[first], self._degrees[second])
        # Two places at which other lines meet are one, though a line leads from one to the
        # other; a curve's corners are none.
        if fewer > 2:  # noqa: PLR2004 - a line passes
            return True
        if any(self.sets.find(node) == first for node in self.beside[second]):
            return False
        is_own = bool(self._paths[first] & self._paths[second]) and fewer > 1
        return not (is_own and self._are_near_along(first, second))

    def _are_near_along(self, first: int, second: int) -> bool:
        """Return whether short lines lead from one node to another."""
        limit = _ALONG * self._tolerance
        reached = {first: 0.0}
        todo = [(0.0, first)]
        while todo:
            length, node = heapq.heappop(todo)
            if node == second:
                return True
            for beside in self.beside[node]:
                other = self.sets.find(beside)
                total = length + distance(self._nodes[node], self._nodes[other])
                if total <= limit and total < reached.get(other, math.inf):
                    reached[other] = total
                    heapq.heappush(todo, (total, other))
        return False

    def join(self, first: int, second: int) -> None:
        """Join the second to the first."""
        self.sets.join(first, second)
        self.beside[first] |= self.beside[second]
        self._paths[first] |= self._paths[second]
        self._degrees[first] += self._degrees[second]


def _refuse_heaps(points: NDArray[np.float64], tolerance: float) -> None:
    """Raise an error if very many ends lie within the tolerance of each other.

    Raises:
        GeometryError: for more pairs than can be compared.
    """
    if float(len(points)) ** 2 <= _MAX_PAIRS:
        return
    # Whole numbers are counted several times as fast as rows; two squares may have the same one.
    with np.errstate(invalid="ignore"):
        keys = np.floor(points / tolerance).astype(np.int64) @ _MIXED
    if float((np.unique_counts(keys).counts.astype(float) ** 2).sum()) <= _MAX_PAIRS:
        return
    squares = np.floor(points / tolerance) @ (1.0, 1.0j)
    places, counts = np.unique(squares, return_counts=True)
    if float((counts.astype(float) ** 2).sum()) > _MAX_PAIRS:
        densest = complex(places[counts.argmax()]) * tolerance
        x, y = densest.real, densest.imag
        raise GeometryError(
            f"Near ({x:.2f}, {y:.2f}) mm very many lines end within the snap tolerance; lower the "
            "tolerance, or check the drawing's unit."
        )


def snap_to_lines(network: Network, tolerance: float) -> bool:
    """Move loose ends onto lines within the tolerance, and corners onto lines of other parts.

    Lines are split there. Return whether any end moved.
    """
    degrees, parts = network.degrees(), network.components()
    if 1 not in degrees and len({parts[edge.first] for edge in network.edges}) == 1:
        return False
    found = touches(network, tolerance)
    nearest: dict[int, tuple[float, int, float]] = {}
    for node, edge, share, gap in zip(*(column.tolist() for column in found), strict=True):
        ends = network.edges[edge]
        is_loose = degrees[node] == 1 or parts[node] != parts[ends.first]
        if is_loose and (node not in nearest or gap < nearest[node][0]):
            nearest[node] = gap, edge, share
    moves = {node: (edge, share) for node, (_, edge, share) in nearest.items()}
    for node, (gap, *_) in nearest.items():
        network.note("short-of-line", network.nodes[node], gap)
    move_onto(network, moves)
    return any(gap > ROUNDING for gap, *_ in nearest.values())


def move_onto(network: Network, moves: dict[int, tuple[int, float]]) -> None:
    """Move nodes to places on edges, and split the edges there.

    Args:
        network: whose nodes and edges these are.
        moves: by node, the edge and the share of its length.
    """
    cuts: dict[int, list[tuple[float, int]]] = defaultdict(list)
    parts = {edge: network.part(network.edges[edge]) for edge, _ in moves.values()}
    for node, (edge, share) in moves.items():
        network.move(node, parts[edge].point_at(share))
        cuts[edge].append((share, node))
    network.split(cuts)
