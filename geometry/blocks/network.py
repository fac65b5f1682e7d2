"""The network of a drawing: nodes where lines meet, and the edges between them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple, TypeAlias, cast

import numpy as np

from geometry.model.points import Point
from geometry.model.segments import Segment, segment
from geometry.segment_pairs import Indices, Numbers, Segments

#: Places that differ by at most this, mm, are one: coordinates written with six digits do.
ROUNDING = 1.0e-5
#: A repair by less than this, mm, is not worth listing.
_UNSEEN = 1.0e-3

RepairKind: TypeAlias = Literal[
    "dot", "doubled-line", "gap", "overshoot", "short-of-line", "sliver", "loose-line"
]


class Repair(NamedTuple):
    """One repair: its kind, its place and its size (length, distance or width), mm."""

    kind: RepairKind
    at: Point
    size: float


class Drawn(NamedTuple):
    """One line or arc of a drawing, the number of its path, and whether that is closed."""

    part: Segment
    path: int
    is_ring: bool = False


class Edge(NamedTuple):
    """A line or arc between two nodes, by their numbers."""

    first: int
    last: int
    bulge: float
    path: int
    is_ring: bool = False


@dataclass
class Network:
    """Nodes and edges, and the repairs so far."""

    nodes: list[Point]
    edges: list[Edge]
    repairs: list[Repair]
    #: Nodes that were moved by more than rounding.
    moved: set[int] = field(default_factory=set)
    _ends: tuple[list[Edge], Indices] | None = None

    def part(self, edge: Edge) -> Segment:
        """Return an edge as a line or arc."""
        return segment(self.nodes[edge.first], self.nodes[edge.last], edge.bulge)

    def points(self) -> Numbers:
        """Return all nodes as an array, one row each."""
        return np.array(self.nodes, dtype=float).reshape(-1, 2)

    def ends(self) -> Indices:
        """Return the numbers of both nodes of each edge, one row each."""
        # Lists of edges are replaced, never changed.
        if self._ends is None or self._ends[0] is not self.edges:
            rows = [(edge.first, edge.last) for edge in self.edges]
            self._ends = self.edges, np.array(rows, dtype=np.intp).reshape(-1, 2)
        return self._ends[1]

    def table(self) -> Segments:
        """Return all edges as arrays."""
        nodes, ends = self.points(), self.ends()
        bulges = np.array([edge.bulge for edge in self.edges], dtype=float)
        return Segments.of_ends(nodes[ends[:, 0]], nodes[ends[:, 1]], bulges)

    def degrees(self) -> list[int]:
        """Return the number of edges at each node."""
        found = np.bincount(self.ends().ravel(), minlength=len(self.nodes)).tolist()
        return cast("list[int]", found)

    def note(self, kind: RepairKind, at: Point, size: float) -> None:
        """List a repair, unless it only concerns rounding."""
        if size > _UNSEEN:
            self.repairs.append(Repair(kind, at, size))

    def split(self, cuts: Mapping[int, Iterable[tuple[float, int]]]) -> None:
        """Split edges.

        Args:
            cuts: by edge, shares of its length and the nodes there.
        """
        if not cuts:
            return
        made: list[Edge] = []
        for index, edge in enumerate(self.edges):
            found = cuts.get(index)
            if not found:
                made.append(edge)
                continue
            share, node = 0.0, edge.first
            for at, other in (*sorted(found), (1.0, edge.last)):
                if other == node:
                    continue
                bulge = math.tan((at - share) * math.atan(edge.bulge)) if edge.bulge else 0.0
                made.append(Edge(node, other, bulge, edge.path, edge.is_ring))
                share, node = at, other
        self.edges = made

    def renumber(self, names: Sequence[int]) -> None:
        """Put other nodes in place of some; edges without length go."""
        self.edges = [
            edge._replace(first=names[edge.first], last=names[edge.last])
            for edge in self.edges
            if names[edge.first] != names[edge.last]
        ]

    def compact(self) -> None:
        """Forget nodes without edges."""
        used = sorted({node for edge in self.edges for node in (edge.first, edge.last)})
        names = {node: number for number, node in enumerate(used)}
        self.nodes = [self.nodes[node] for node in used]
        self.moved = {names[node] for node in self.moved if node in names}
        self.edges = [
            edge._replace(first=names[edge.first], last=names[edge.last]) for edge in self.edges
        ]

    def components(self) -> list[int]:
        """Return for each node the number of the part of the network that it belongs to."""
        sets = Sets(len(self.nodes))
        for edge in self.edges:
            sets.join(edge.first, edge.last)
        return [sets.find(node) for node in range(len(self.nodes))]


class Sets:
    """Disjoint sets of numbers."""

    def __init__(self, count: int) -> None:
        self._parent = list(range(count))

    def find(self, each: int) -> int:
        """Return the set of a number, named by one of its members."""
        parent = self._parent
        while parent[each] != each:
            parent[each] = parent[parent[each]]
            each = parent[each]
        return each

    def join(self, kept: int, other: int) -> None:
        """Join two sets; the first one's name stays."""
        self._parent[self.find(other)] = self.find(kept)


def network_of(drawn: Sequence[Drawn]) -> Network:
    """Return the network of a drawing as it is; arcs of more than half a circle are halved."""
    nodes: list[Point] = []
    numbers: dict[tuple[float, float], int] = {}

    def node(point: Point) -> int:
        key = (round(point[0], 7), round(point[1], 7))
        number = numbers.setdefault(key, len(nodes))
        if number == len(nodes):
            nodes.append(Point(*point))
        return number

    edges = []
    for part, path, is_ring in drawn:
        halves = (
            [part.between(0.0, 0.5), part.between(0.5, 1.0)] if abs(part.bulge) > 1.0 else [part]
        )
        for each in halves:
            first, last = node(each.start), node(each.end)
            if first != last:
                edges.append(Edge(first, last, each.bulge, path, is_ring))
    return Network(nodes, edges, [])
