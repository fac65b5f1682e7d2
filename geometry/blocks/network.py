"""The network of a drawing: nodes where lines meet, and the edges between them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import chain
from typing import Literal, NamedTuple, TypeAlias, cast

import numpy as np
from numpy.typing import NDArray

from geometry.model.points import Point
from geometry.model.segments import Segment, segment
from geometry.segment_pairs import Indices, Numbers, Segments

#: Places that differ by at most this, mm, are one: coordinates written with six digits do.
ROUNDING = 1.0e-5
#: Decimals of a place, mm, by which nodes are one from the beginning.
_DECIMALS = 7
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


#: Makes edges of rows, with no call of Python's for each.
_edge_of_row = partial(tuple.__new__, Edge)


@dataclass
class Network:
    """Nodes and edges, and the repairs so far.

    Nodes are moved and added by its methods, so that it knows when its arrays are stale.
    """

    nodes: list[Point]
    edges: list[Edge]
    repairs: list[Repair]
    #: Nodes that were moved by more than rounding.
    moved: set[int] = field(default_factory=set)
    _columns: tuple[list[Edge], Indices, Numbers] | None = None
    _points: tuple[list[Point], Numbers] | None = None
    _table: tuple[Numbers, Indices, Segments] | None = None

    def part(self, edge: Edge) -> Segment:
        """Return an edge as a line or arc."""
        return segment(self.nodes[edge.first], self.nodes[edge.last], edge.bulge)

    def points(self) -> Numbers:
        """Return all nodes as an array, one row each; it is not to be changed."""
        if self._points is None or self._points[0] is not self.nodes:
            self._points = self.nodes, _rows_of(self.nodes)
        return self._points[1]

    def add(self, point: Point) -> int:
        """Add a node; return its number."""
        self._points = None
        self.nodes.append(point)
        return len(self.nodes) - 1

    def move(self, node: int, point: Point) -> None:
        """Move a node by more than rounding."""
        self._points = None
        self.nodes[node] = point
        self.moved.add(node)

    def ends(self) -> Indices:
        """Return the numbers of both nodes of each edge, one row each."""
        return self._of_edges()[0]

    def bulges(self) -> Numbers:
        """Return the bulge of each edge."""
        return self._of_edges()[1]

    def _of_edges(self) -> tuple[Indices, Numbers]:
        # Lists of edges are replaced, never changed.
        if self._columns is None or self._columns[0] is not self.edges:
            first, last, bulges, *_ = zip(*self.edges, strict=True) if self.edges else ((), (), ())
            ends = np.array([first, last], dtype=np.intp).T
            self._columns = self.edges, ends, np.array(bulges, dtype=float)
        return self._columns[1:]

    def table(self) -> Segments:
        """Return all edges as arrays."""
        nodes, ends = self.points(), self.ends()
        if self._table is None or self._table[0] is not nodes or self._table[1] is not ends:
            made = Segments.of_ends(nodes[ends[:, 0]], nodes[ends[:, 1]], self.bulges())
            self._table = nodes, ends, made
        return self._table[2]

    def origins(self) -> list[int]:
        """Return the node at which each half-edge begins."""
        found: list[int] = self.ends().ravel().tolist()
        return found

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
        ends = np.array(names, dtype=np.intp)[self.ends()]
        self._rename(ends, ends[:, 0] != ends[:, 1])

    def compact(self) -> None:
        """Forget nodes without edges."""
        ends = self.ends()
        is_used = np.zeros(len(self.nodes), dtype=bool)
        is_used[ends.ravel()] = True
        names = np.cumsum(is_used) - 1
        self.moved = {int(names[node]) for node in self.moved if is_used[node]}
        self.nodes = [self.nodes[node] for node in np.flatnonzero(is_used).tolist()]
        self._rename(names[ends], np.ones(len(ends), dtype=bool))

    def _rename(self, ends: Indices, is_kept: NDArray[np.bool_]) -> None:
        """Give each edge that is kept other ends."""
        if not self.edges:
            return
        _, _, *others = zip(*self.edges, strict=True)
        made = map(_edge_of_row, zip(*ends.T.tolist(), *others, strict=True))
        self.edges = [edge for edge, kept in zip(made, is_kept.tolist(), strict=True) if kept]

    def components(self) -> list[int]:
        """Return for each node the number of the part of the network that it belongs to."""
        found = np.arange(len(self.nodes))
        first, last = self.ends().T
        while True:
            one, other = found[first], found[last]
            apart = np.flatnonzero(one != other)
            if not len(apart):
                names: list[int] = found.tolist()
                return names
            low, high = np.minimum(one, other)[apart], np.maximum(one, other)[apart]
            np.minimum.at(found, high, low)
            # Each node gets the name of the part that its name has become a part of.
            while not np.array_equal(further := found[found], found):
                found = further


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
    lines: list[Drawn] = []
    for each in drawn:
        if abs(each.part.bulge) > 1.0:
            halves = each.part.between(0.0, 0.5), each.part.between(0.5, 1.0)
            lines += [each._replace(part=part) for part in halves]
        else:
            lines.append(each)
    ends = [point for part, *_ in lines for point in (part.start, part.end)]
    if not ends:
        return Network([], [], [])
    nodes, numbers = _different(ends)
    pairs = zip(numbers[0::2], numbers[1::2], lines, strict=True)
    edges = [
        _edge_of_row((first, last, part.bulge, path, is_ring))
        for first, last, (part, path, is_ring) in pairs
        if first != last
    ]
    return Network(nodes, edges, [])


def _rows_of(points: Sequence[Point]) -> Numbers:
    """Return points as an array, one row each."""
    values = chain.from_iterable(points)
    return np.fromiter(values, dtype=float, count=2 * len(points)).reshape(-1, 2)


def _different(points: Sequence[Point]) -> tuple[list[Point], list[int]]:
    """Return the different ones of points, in order, and for each point the number of its own."""
    places = np.round(_rows_of(points), _DECIMALS) @ (1.0, 1.0j)
    _, firsts, names = np.unique(places, return_index=True, return_inverse=True)
    order = np.argsort(firsts)
    numbers = np.empty_like(order)
    numbers[order] = np.arange(len(order))
    nodes = [Point(*points[at]) for at in firsts[order].tolist()]
    return nodes, numbers[names].tolist()
