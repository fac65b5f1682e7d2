"""Closes slivers: faces thinner than the tolerance, between lines that were meant to be one."""

from __future__ import annotations

import math
from collections.abc import Iterator

from geometry.blocks.faces import Faces, Ring, origin
from geometry.blocks.network import Network, Sets
from geometry.blocks.snapping import move_onto
from geometry.intersect import share_on_arc, share_on_line
from geometry.model.points import Point, distance
from geometry.model.segments import Arc, Segment


def mean_width(ring: Ring) -> float:
    """Return twice the area by the perimeter, mm: a long rectangle's width, a sliver's at most."""
    return 2.0 * ring.area / ring.length


def slivers(faces: Faces, tolerance: float) -> Iterator[Ring]:
    """Return the faces whose mean width is at most the tolerance."""
    return (ring for ring in faces.inner if mean_width(ring) <= tolerance)


def close_slivers(network: Network, faces: Faces, tolerance: float) -> bool:
    """Move the nodes of slivers onto each other or onto the line opposite.

    Return whether any node moved.
    """
    sets = Sets(len(network.nodes))
    moves: dict[int, tuple[int, float]] = {}
    merged = False
    for ring in slivers(faces, tolerance):
        changed = _merge_ends(network, ring, tolerance, sets)
        merged |= changed
        if not changed:
            found = _feet(network, ring, tolerance, moves)
            changed = bool(found)
            moves |= found
        if changed:
            place = middle_of(ring)
            network.note("sliver", place, mean_width(ring))
    if moves:
        move_onto(network, moves)
    if merged:
        network.renumber([sets.find(node) for node in range(len(network.nodes))])
    return merged or bool(moves)


def middle_of(ring: Ring) -> Point:
    """Return the middle of a ring's corners."""
    vertices = ring.outline.vertices
    count = len(vertices)
    return Point(sum(v.x for v in vertices) / count, sum(v.y for v in vertices) / count)


def _merge_ends(network: Network, ring: Ring, tolerance: float, sets: Sets) -> bool:
    """Merge nodes of one sliver that lie within the tolerance of each other."""
    nodes = [origin(network, half) for half in ring.halves]
    pairs = sorted(
        (gap, a, b)
        for index, a in enumerate(nodes)
        for b in nodes[index + 1 :]
        if (gap := distance(network.nodes[a], network.nodes[b])) <= tolerance
    )
    merged = False
    for _, a, b in pairs:
        first, second = sets.find(a), sets.find(b)
        if first != second and (distance(network.nodes[first], network.nodes[second]) <= tolerance):
            sets.join(first, second)
            network.moved.add(first)
            merged = True
    return merged


def _feet(
    network: Network, ring: Ring, tolerance: float, taken: dict[int, tuple[int, float]]
) -> dict[int, tuple[int, float]]:
    """Return where nodes of one sliver lie on the line opposite."""
    found: dict[int, tuple[int, float]] = {}
    for half in ring.halves:
        node = origin(network, half)
        best = math.inf
        for other in ring.halves:
            edge = network.edges[other >> 1]
            if node in (edge.first, edge.last) or node in taken:
                continue
            share, gap = _foot(network.part(edge), network.nodes[node])
            if share is not None and gap <= min(tolerance, best) and 0.0 < share < 1.0:
                best = gap
                found[node] = other >> 1, share
    return found


def _foot(part: Segment, point: Point) -> tuple[float | None, float]:
    """Return the share of a point's foot on a segment, and its distance."""
    if isinstance(part, Arc):
        return share_on_arc(part, point), abs(distance(part.centre, point) - part.radius)
    share = share_on_line(part, point)
    return share, math.inf if share is None else distance(part.point_at(share), point)
