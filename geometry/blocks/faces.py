"""The faces of a network: what its edges enclose, with outlines of lines and arcs.

Source:
    The traversal of a planar subdivision by half-edges: M. de Berg, O. Cheong, M. van Kreveld and
    M. Overmars, "Computational Geometry", 3rd edition, 2008, chapter 2.2. Half-edge ``2 e`` runs
    along edge ``e`` and ``2 e + 1`` against it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.blocks.network import Network
from geometry.blocks.ring_table import RingTable
from geometry.measure import area, perimeter, winding
from geometry.model.outline import Outline, Vertex
from geometry.model.points import Point
from geometry.segment_pairs import Indices, Numbers

#: Angle, rad, by which the order around a node begins before its first half-edge.
_BEFORE = 1.0e-5
#: Share of an outline's size by which a point is moved before it is looked for inside.
_ASIDE = 1.0e-8


@dataclass(frozen=True)
class Ring:
    """A closed walk along half-edges, with what it encloses on its left, and its length, mm."""

    halves: tuple[int, ...]
    outline: Outline
    area: float
    length: float


@dataclass(frozen=True)
class Faces:
    """What a network encloses.

    Args:
        inner: rings of the faces, counter-clockwise.
        outer: rings about each part of the network, clockwise.
        of_half: the number of the ring on the left of each half-edge: that of a face, or below
            zero, -1 - the number of the outer ring.
    """

    inner: tuple[Ring, ...]
    outer: tuple[Ring, ...]
    of_half: list[int]


def origin(network: Network, half: int) -> int:
    """Return the node at which a half-edge begins."""
    edge = network.edges[half >> 1]
    return edge.last if half & 1 else edge.first


def find_faces(network: Network) -> Faces:
    """Return the faces of a network whose edges meet only at nodes."""
    if not network.edges:
        return Faces((), (), [])
    halves, counts = _walks(_following(network))
    table = RingTable(_vertices(network)[halves], np.array(counts, dtype=np.intp))
    inner: list[Ring] = []
    outer: list[Ring] = []
    numbers: list[int] = []
    measures = zip(table.spans(), table.outlines(), table.lengths.tolist(), strict=True)
    for (begin, end), outline, length in measures:
        # Summed without rounding, so that a way out and back encloses exactly nothing.
        ring = Ring(tuple(halves[begin:end]), outline, area(outline), length)
        if ring.area > 0.0:
            numbers.append(len(inner))
            inner.append(ring)
        else:
            numbers.append(-1 - len(outer))
            outer.append(ring)
    of_half = np.empty(len(halves), dtype=np.intp)
    of_half[halves] = np.repeat(numbers, counts)
    return Faces(tuple(inner), tuple(outer), of_half.tolist())


def _walks(following: Sequence[int]) -> tuple[list[int], list[int]]:
    """Return the half-edges ring by ring, and how many each ring has."""
    halves: list[int] = []
    counts: list[int] = []
    is_known = bytearray(len(following))
    for begin in range(len(following)):
        if is_known[begin]:
            continue
        before, half = len(halves), begin
        while not is_known[half]:
            is_known[half] = True
            halves.append(half)
            half = following[half]
        counts.append(len(halves) - before)
    return halves, counts


def ring_of(network: Network, halves: Sequence[int]) -> Ring:
    """Return the ring along half-edges."""
    vertices = tuple(_starts(network, half >> 1)[half & 1] for half in halves)
    outline = Outline(vertices)
    return Ring(tuple(halves), outline, area(outline), perimeter(outline))


def _starts(network: Network, index: int) -> tuple[Vertex, Vertex]:
    """Return the first vertices of both half-edges of an edge."""
    first, last, bulge, *_ = network.edges[index]
    return Vertex(*network.nodes[first], bulge), Vertex(*network.nodes[last], -bulge)


def _vertices(network: Network) -> Numbers:
    """Return x, y and bulge of the first vertex of each half-edge, one row each."""
    found = np.empty((2 * len(network.edges), 3))
    found[:, :2] = network.points()[network.ends().ravel()]
    bulges = network.bulges()
    found[0::2, 2], found[1::2, 2] = bulges, 0.0 - bulges
    return found


def _following(network: Network) -> list[int]:
    """Return for each half-edge the next one of its ring: the sharpest turn to the left."""
    origins = network.ends().ravel()
    nodes, first, node = np.unique(origins, return_index=True, return_inverse=True)
    directions = _directions(network, node)
    # From the first half-edge of each node; a little before it, so that those as near stay by it.
    turned = (directions - directions[first][node] + _BEFORE) % math.tau
    order = np.lexsort((turned, node))
    begins = np.searchsorted(node[order], np.arange(len(nodes)))
    before = np.roll(order, 1)
    before[begins] = order[np.append(begins[1:], len(order)) - 1]
    following = np.empty_like(order)
    following[order ^ 1] = before
    found: list[int] = following.tolist()
    return found


def _directions(network: Network, node: Indices) -> Numbers:
    """Return where half-edges cross a circle about their origin, as angles, rad.

    Those that only touch at their origin differ there, and those that cross again at once, by
    rounding, are in the order in which they go on.

    Args:
        network: whose half-edges these are.
        node: the number of the origin of each half-edge.
    """
    table = network.table()
    # Each circle is half as large as the shortest chord, so that all half-edges leave it.
    lengths = np.repeat(table.length, 2)
    reach = np.full(int(node.max()) + 1, np.inf)
    np.minimum.at(reach, node, lengths / 2.0)
    bulges = np.stack([table.bulge, -table.bulge], axis=1).ravel()
    ahead = np.arctan2(table.chord[:, 1], table.chord[:, 0])
    headings = np.stack([ahead, ahead + np.pi], axis=1).ravel() - 2.0 * np.arctan(bulges)
    curvatures = 4.0 * bulges / ((1.0 + bulges**2) * np.maximum(lengths, 1e-300))
    return np.asarray(headings + np.arcsin(np.clip(curvatures * reach[node] / 2.0, -1.0, 1.0)))


def contains(outline: Outline, point: Point) -> bool:
    """Return whether a point that does not lie on an outline lies inside it."""
    box = outline.bounds
    if not (box.left < point.x < box.right and box.bottom < point.y < box.top):
        return False
    # A little aside, so that the point lies neither on a chord nor on a line through two corners.
    aside = _ASIDE * max(box.width, box.height)
    return winding(outline, Point(point.x + 0.57 * aside, point.y + 0.81 * aside)) != 0
