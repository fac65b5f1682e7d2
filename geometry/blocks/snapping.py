"""Snaps the ends of lines to each other and to other lines, within a tolerance."""

from __future__ import annotations

import heapq
import math
from collections import defaultdict
from collections.abc import Container

import numpy as np
import shapely
from numpy.typing import NDArray

from geometry.blocks.crossings import touches
from geometry.blocks.network import ROUNDING, Network, Sets
from geometry.errors import GeometryError
from geometry.model.points import distance

#: Corners of one path that are joined along lines up to this many tolerances long stay apart.
_ALONG = 20.0
#: Pairs of ends within the tolerance of each other that are compared at most.
_MAX_PAIRS = 2_000_000.0


def merge_nodes(network: Network, tolerance: float) -> bool:
    """Make one node of those that lie within the tolerance of each other, nearest first.

    Two nodes joined by an edge stay apart, so that a curve drawn as many short lines keeps them; so
    do two corners of one path that are near each other along it, where lines already meet. Return
    whether any node moved by more than rounding.
    """
    merging = _Merging(network, tolerance)
    moved = False
    for gap, a, b in _near_pairs(network, tolerance, merging.beside):
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


def _near_pairs(
    network: Network, tolerance: float, used: Container[int]
) -> list[tuple[float, int, int]]:
    """Return the pairs of used nodes within the tolerance, with their distance, nearest first."""
    points = np.array(network.nodes, dtype=float).reshape(-1, 2)
    _refuse_heaps(points, tolerance)
    tree = shapely.STRtree(shapely.points(points))
    one, other = tree.query(shapely.points(points), predicate="dwithin", distance=tolerance)
    return sorted(
        (distance(network.nodes[a], network.nodes[b]), a, b)
        for a, b in zip(one.tolist(), other.tolist(), strict=True)
        if a < b and a in used and b in used
    )


class _Merging:
    """Which nodes have become one, and what meets at each."""

    def __init__(self, network: Network, tolerance: float) -> None:
        self._nodes, self._tolerance = network.nodes, tolerance
        self._degrees = network.degrees()
        self.sets = Sets(len(network.nodes))
        self.beside: dict[int, set[int]] = defaultdict(set)
        self._paths: dict[int, set[int]] = defaultdict(set)
        for edge in network.edges:
            self.beside[edge.first].add(edge.last)
            self.beside[edge.last].add(edge.first)
            self._paths[edge.first].add(edge.path)
            self._paths[edge.last].add(edge.path)

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
    squares = np.floor(points / tolerance)
    places, counts = np.unique(squares, axis=0, return_counts=True)
    if float((counts.astype(float) ** 2).sum()) > _MAX_PAIRS:
        x, y = (places[counts.argmax()] * tolerance).tolist()
        raise GeometryError(
            f"Near ({x:.2f}, {y:.2f}) mm very many lines end within the snap tolerance; lower the "
            "tolerance, or check the drawing's unit."
        )


def snap_to_lines(network: Network, tolerance: float) -> bool:
    """Move loose ends onto lines within the tolerance, and corners onto lines of other parts.

    Lines are split there. Return whether any end moved.
    """
    found = touches(network, tolerance)
    degrees, parts = network.degrees(), network.components()
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
        network.nodes[node] = parts[edge].point_at(share)
        network.moved.add(node)
        cuts[edge].append((share, node))
    network.split(cuts)
