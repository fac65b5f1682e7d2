"""The faces of a network: what its edges enclose, with outlines of lines and arcs.

Source:
    The traversal of a planar subdivision by half-edges: M. de Berg, O. Cheong, M. van Kreveld and
    M. Overmars, "Computational Geometry", 3rd edition, 2008, chapter 2.2. Half-edge ``2 e`` runs
    along edge ``e`` and ``2 e + 1`` against it.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from geometry.blocks.network import Network
from geometry.measure import area, winding
from geometry.model.outline import Outline, Vertex
from geometry.model.points import Point, distance, heading

#: Directions that differ by less than this, rad, are distinguished by how the lines bend.
_SAME_HEADING = 1.0e-6
#: Share of an outline's size by which a point is moved before it is looked for inside.
_ASIDE = 1.0e-8


@dataclass(frozen=True)
class Ring:
    """A closed walk along half-edges, with what it encloses on its left."""

    halves: tuple[int, ...]
    outline: Outline
    area: float


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
    of_half: dict[int, int]


def origin(network: Network, half: int) -> int:
    """Return the node at which a half-edge begins."""
    edge = network.edges[half >> 1]
    return edge.last if half & 1 else edge.first


def _bulge(network: Network, half: int) -> float:
    bulge = network.edges[half >> 1].bulge
    return -bulge if half & 1 else bulge


def find_faces(network: Network) -> Faces:
    """Return the faces of a network whose edges meet only at nodes."""
    following = _following(network)
    inner: list[Ring] = []
    outer: list[Ring] = []
    of_half: dict[int, int] = {}
    for begin in range(2 * len(network.edges)):
        if begin in of_half:
            continue
        halves = [begin]
        while (half := following[halves[-1]]) != begin:
            halves.append(half)
        ring = ring_of(network, halves)
        if ring.area > 0.0:
            of_half.update(dict.fromkeys(halves, len(inner)))
            inner.append(ring)
        else:
            of_half.update(dict.fromkeys(halves, -1 - len(outer)))
            outer.append(ring)
    return Faces(tuple(inner), tuple(outer), of_half)


def ring_of(network: Network, halves: Sequence[int]) -> Ring:
    """Return the ring along half-edges."""
    vertices = []
    for half in halves:
        point = network.nodes[origin(network, half)]
        vertices.append(Vertex(point.x, point.y, _bulge(network, half)))
    outline = Outline(tuple(vertices))
    return Ring(tuple(halves), outline, area(outline))


def _following(network: Network) -> list[int]:
    """Return for each half-edge the next one of its ring: the sharpest turn to the left."""
    around: dict[int, list[int]] = defaultdict(list)
    for half in range(2 * len(network.edges)):
        around[origin(network, half)].append(half)
    following = [0] * (2 * len(network.edges))
    for halves in around.values():
        ordered = _counter_clockwise(network, halves)
        for index, half in enumerate(ordered):
            following[half ^ 1] = ordered[index - 1]
    return following


def _counter_clockwise(network: Network, halves: list[int]) -> list[int]:
    """Return the half-edges that begin at a node, counter-clockwise."""
    if len(halves) == 1:
        return halves
    rows = [(*_direction(network, half), half) for half in halves]
    first = rows[0][0]
    turned = sorted(((at - first + 1e-5) % math.tau, bend, half) for at, bend, half in rows)
    found: list[int] = []
    group: list[tuple[float, int]] = []
    before = -math.inf
    for at, bend, half in turned:
        if at - before > _SAME_HEADING:
            found += [each for _, each in sorted(group)]
            group = []
        group.append((bend, half))
        before = at
    return found + [each for _, each in sorted(group)]


def _direction(network: Network, half: int) -> tuple[float, float]:
    """Return the heading of a half-edge at its origin, and its curvature, left positive."""
    start, end = network.nodes[origin(network, half)], network.nodes[origin(network, half ^ 1)]
    bulge = _bulge(network, half)
    curvature = 4.0 * bulge / ((1.0 + bulge * bulge) * distance(start, end)) if bulge else 0.0
    return heading(start, end) - 2.0 * math.atan(bulge), curvature


def contains(outline: Outline, point: Point) -> bool:
    """Return whether a point that does not lie on an outline lies inside it."""
    box = outline.bounds
    if not (box.left < point.x < box.right and box.bottom < point.y < box.top):
        return False
    # A little aside, so that the point lies neither on a chord nor on a line through two corners.
    aside = _ASIDE * max(box.width, box.height)
    return winding(outline, Point(point.x + 0.57 * aside, point.y + 0.81 * aside)) != 0
