"""The outlines round some pieces of a block that are sewn together."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from geometry.blocks.block import DrawnBlock
from geometry.blocks.faces import origin, ring_of
from geometry.blocks.network import Network
from geometry.blocks.sides import outline_of, sides_of
from geometry.model.outline import Outline
from geometry.model.points import heading


@dataclass(frozen=True)
class SectionRing:
    """An outline round pieces, and which of its sides lie on the block's edge."""

    outline: Outline
    outer: frozenset[int]


def section_rings(block: DrawnBlock, pieces: Collection[int]) -> tuple[SectionRing, ...]:
    """Return the outlines round pieces, with the pieces on their left.

    Args:
        block: that they belong to.
        pieces: their numbers.
    """
    found = block.found
    inside = set(pieces)
    edge = [
        half
        for half, piece in enumerate(found.of_half)
        if piece in inside and found.of_half[half ^ 1] not in inside
    ]
    rings = []
    for halves in _walks(found.network, edge):
        sides = sides_of(found.network, ring_of(found.network, halves), block.tolerance)
        outer = frozenset(
            at
            for at, side in enumerate(sides)
            if all(found.of_half[half ^ 1] < 0 for half in side.halves)
        )
        rings.append(SectionRing(outline_of(sides), outer))
    return tuple(rings)


def _walks(network: Network, edge: list[int]) -> list[list[int]]:
    """Return closed walks along half-edges; where several meet, the one turning left most."""
    begins: dict[int, list[int]] = defaultdict(list)
    for half in edge:
        begins[origin(network, half)].append(half)
    walks = []
    while begins:
        start, halves = begins.popitem()
        walk = [halves.pop()]
        if halves:
            begins[start] = halves
        while (node := origin(network, walk[-1] ^ 1)) != start:
            choices = begins[node]
            half = max(choices, key=lambda each: _turn(network, walk[-1], each))
            choices.remove(half)
            if not choices:
                del begins[node]
            walk.append(half)
        walks.append(walk)
    return walks


def _turn(network: Network, before: int, after: int) -> float:
    """Return by how much a walk turns left from one half-edge to the next, rad."""
    turned = _heading(network, after, at_end=False) - _heading(network, before, at_end=True)
    return math.remainder(turned, math.tau)


def _heading(network: Network, half: int, *, at_end: bool) -> float:
    edge = network.edges[half >> 1]
    bulge = -edge.bulge if half & 1 else edge.bulge
    start, end = (network.nodes[origin(network, each)] for each in (half, half ^ 1))
    bend = 2.0 * math.atan(bulge)
    return heading(start, end) + (bend if at_end else -bend)
