"""Cleans a network: doubled lines, dots, lines that are a little too long or too short."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from geometry.blocks.crossings import split_at_crossings, split_at_touches
from geometry.blocks.network import ROUNDING, Edge, Network
from geometry.blocks.snapping import merge_nodes, snap_to_lines
from geometry.model.points import Point, distance
from geometry.model.segments import Bounds, Segment

#: Separate drawn elements up to this large, mm, are dots; no piece of a block is as small.
DOT = 2.0
#: Passes after which nothing changes any more in drawings that can be repaired.
_MAX_PASSES = 6


def clean(network: Network, tolerance: float) -> None:
    """Split a network at crossings and snap its ends, until nothing moves any more."""
    remove_dots(network, tolerance)
    for _ in range(_MAX_PASSES):
        # Ends first: lines drawn twice then coincide, where they would cross at any place.
        drop_doubles(network, tolerance)
        moved = merge_nodes(network, tolerance)
        moved |= snap_to_lines(network, tolerance)
        drop_doubles(network, tolerance)
        was_split = split_at_crossings(network)
        was_split |= split_at_touches(network)
        drop_doubles(network, tolerance)
        drop_overshoots(network, tolerance)
        if not moved and not (was_split and merge_nodes(network, tolerance)):
            return
        network.compact()


def remove_dots(network: Network, tolerance: float) -> None:
    """Remove small rings that are joined to nothing, and shorter lines.

    A short line may also be a part of a longer one whose ends do not meet, so that only lines no
    longer than the tolerance are removed.
    """
    parts, degrees = network.components(), network.degrees()
    small = _small_parts(network, parts, max(DOT, tolerance))
    found: dict[int, list[Edge]] = defaultdict(list)
    for edge in network.edges:
        if parts[edge.first] in small:
            found[parts[edge.first]].append(edge)
    gone = set()
    for part, edges in found.items():
        is_ring = all(degrees[node] > 1 for edge in edges for node in (edge.first, edge.last))
        at, size = extent([network.part(edge) for edge in edges])
        if size <= (DOT if is_ring else tolerance):
            gone.add(part)
            network.note("dot", at, size)
    if gone:
        network.edges = [edge for edge in network.edges if parts[edge.first] not in gone]


def _small_parts(network: Network, parts: Sequence[int], size: float) -> set[int]:
    """Return the parts of a network whose nodes lie in a box of at most ``size`` mm."""
    if not parts:
        return set()
    names, of_node = np.unique(parts, return_inverse=True)
    points = network.points()
    low, high = np.full((len(names), 2), np.inf), np.full((len(names), 2), -np.inf)
    np.minimum.at(low, of_node, points)
    np.maximum.at(high, of_node, points)
    return set(names[(high - low).max(axis=1) <= size].tolist())


def extent(parts: Sequence[Segment]) -> tuple[Point, float]:
    """Return the middle of the box about lines and arcs, and its longer side, mm."""
    box = Bounds.around(part.bounds() for part in parts)
    middle = Point((box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0)
    return middle, max(box.width, box.height)


def drop_doubles(network: Network, tolerance: float) -> None:
    """Drop edges that run along another one between the same nodes."""
    ends = np.sort(network.ends(), axis=1)
    if len(np.unique(ends[:, 0] * len(network.nodes) + ends[:, 1])) == len(ends):
        return
    groups: dict[tuple[int, int], list[Edge]] = defaultdict(list)
    for edge in network.edges:
        groups[min(edge.first, edge.last), max(edge.first, edge.last)].append(edge)
    kept: list[Edge] = []
    for edges in groups.values():
        kept.append(edges[0])
        middles = [network.part(edges[0]).point_at(0.5)] if len(edges) > 1 else []
        for edge in edges[1:]:
            part = network.part(edge)
            middle = part.point_at(0.5)
            # Two edges that enclose a piece are farther apart.
            gap = min(distance(middle, other) for other in middles)
            if gap <= tolerance:
                # Pieces drawn as closed paths share their sides; only other lines are doubled.
                if gap > ROUNDING or not (edge.is_ring and edges[0].is_ring):
                    network.note("doubled-line", middle, part.length)
            else:
                middles.append(middle)
                kept.append(edge)
    network.edges = kept


def drop_overshoots(network: Network, tolerance: float) -> None:
    """Drop short ends of lines that go on a little beyond the line at which they should end."""
    degrees = network.degrees()
    if 1 not in degrees:
        return
    kept: list[Edge] = []
    for edge in network.edges:
        for end, other in ((edge.first, edge.last), (edge.last, edge.first)):
            length = distance(network.nodes[end], network.nodes[other])
            if degrees[end] == 1 and degrees[other] > 2 and length <= tolerance:  # noqa: PLR2004 - a line goes on there, and another meets it
                network.note("overshoot", network.nodes[end], length)
                degrees[other] -= 1
                break
        else:
            kept.append(edge)
    network.edges = kept
