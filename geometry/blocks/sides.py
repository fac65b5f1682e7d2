"""The sides of a piece: its edges, joined where they continue along one line or circle."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from geometry.blocks.faces import Ring, origin
from geometry.blocks.network import Network
from geometry.blocks.ring_table import RingTable
from geometry.model.merging import first_corner, merge_neighbours
from geometry.model.outline import Outline, Vertex
from geometry.model.points import Point, cross, distance
from geometry.model.segments import Arc, Line, Segment, segment

#: A corner this close to the line between its neighbours, mm, is none; also for circles.
_STRAIGHT = 1.0e-3
#: A corner that is farther off than this many times as much is one whatever the rounding.
_CLEARLY = 1.001


@dataclass(frozen=True)
class PieceSide:
    """One side of a piece, and the half-edges that it consists of."""

    part: Segment
    halves: tuple[int, ...]


@dataclass(frozen=True)
class SideTable:
    """The sides of all pieces, one piece after the other.

    Args:
        table: where sides begin, and their bulges.
        outlines: along the sides of each piece.
        halves: the half-edges that each side consists of.
    """

    table: RingTable
    outlines: tuple[Outline, ...]
    halves: tuple[tuple[int, ...], ...]

    @cached_property
    def pieces(self) -> tuple[tuple[PieceSide, ...], ...]:
        """Return the sides of each piece, in order; a circle keeps two."""
        spans = zip(self.outlines, self.table.spans(), strict=True)
        return tuple(
            tuple(map(PieceSide, outline.segments, self.halves[begin:end]))
            for outline, (begin, end) in spans
        )

    def of_all_halves(self, flags: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Return for each side whether something is true of all its half-edges."""
        counts = np.fromiter(map(len, self.halves), np.intp, len(self.halves))
        every = flags[np.fromiter(itertools.chain.from_iterable(self.halves), np.intp)]
        if len(every) == len(counts):
            return every
        return np.asarray(np.logical_and.reduceat(every, np.cumsum(counts) - counts))


def find_sides(network: Network, rings: Sequence[Ring], tolerance: float) -> SideTable:
    """Return the sides of pieces.

    Args:
        network: that the rings belong to.
        rings: round the pieces.
        tolerance: how far ends that were moved may lie beside a straight side, mm.
    """
    outlines: list[Outline] = []
    halves: list[tuple[int, ...]] = []
    has_corners = _have_only_corners(network, rings, tolerance)
    for ring, only_corners in zip(rings, has_corners, strict=True):
        if only_corners:
            outlines.append(ring.outline)
            halves += [(half,) for half in ring.halves]
        else:
            sides = sides_of(network, ring, tolerance)
            outlines.append(outline_of(sides))
            halves += [side.halves for side in sides]
    table = RingTable.of(outlines)
    return SideTable(table, tuple(outlines), tuple(halves))


def sides_of(network: Network, ring: Ring, tolerance: float) -> tuple[PieceSide, ...]:
    """Return the sides of one piece in order; a circle keeps two.

    Args:
        network: that the ring belongs to.
        ring: round the piece.
        tolerance: how far ends that were moved may lie beside a straight side, mm.
    """

    def joined(one: PieceSide, two: PieceSide) -> PieceSide | None:
        was_moved = origin(network, two.halves[0]) in network.moved
        return _joined(one, two, tolerance if was_moved else _STRAIGHT)

    single = _single(ring)
    # From a corner, so that no side begins in its middle.
    first = first_corner(single, joined) or 0
    found = merge_neighbours(single[first:] + single[:first], joined)
    return tuple(found) if len(found) > 1 else single


def _single(ring: Ring) -> tuple[PieceSide, ...]:
    """Return each edge of a ring as a side."""
    parts = zip(ring.outline.segments, ring.halves, strict=True)
    return tuple([PieceSide(part, (half,)) for part, half in parts])


def _have_only_corners(network: Network, rings: Sequence[Ring], tolerance: float) -> list[bool]:
    """Return for each ring whether all its edges meet in corners that arrays show clearly."""
    halves = np.fromiter(itertools.chain.from_iterable(ring.halves for ring in rings), np.intp)
    counts = np.array([len(ring.halves) for ring in rings])
    begins = np.cumsum(counts) - counts
    before = np.roll(halves, 1)
    before[begins] = halves[begins + counts - 1]
    ends, points = network.ends(), network.points()
    bulges = network.bulges()
    start = ends[before >> 1, before & 1]
    middle, end = ends[halves >> 1, halves & 1], ends[halves >> 1, 1 - (halves & 1)]
    one, two = points[middle] - points[start], points[end] - points[middle]
    whole = points[end] - points[start]
    length = np.hypot(*whole.T)
    off = np.abs(whole[:, 0] * one[:, 1] - whole[:, 1] * one[:, 0])
    was_moved = np.zeros(len(points), dtype=bool)
    was_moved[list(network.moved)] = True
    straight = np.where(was_moved[middle], tolerance, _STRAIGHT)
    is_bent = (off > straight * length * _CLEARLY) | ((one * two).sum(axis=1) < 0.0)
    arcs = bulges[before >> 1] != 0.0, bulges[halves >> 1] != 0.0
    is_corner = np.where(arcs[0] | arcs[1], arcs[0] != arcs[1], is_bent)
    found: list[bool] = np.logical_and.reduceat(is_corner, begins).tolist()
    return found


def outline_of(sides: Sequence[PieceSide]) -> Outline:
    """Return the outline along sides."""
    return Outline(tuple([Vertex(*side.part.start, side.part.bulge) for side in sides]))


def _joined(first: PieceSide, second: PieceSide, straight: float) -> PieceSide | None:
    """Return two consecutive sides as one, or ``None`` if there is a corner between them."""
    one, two = first.part, second.part
    whole: Segment | None = None
    if isinstance(one, Line) and isinstance(two, Line):
        whole = _one_line(one, two, straight)
    elif isinstance(one, Arc) and isinstance(two, Arc):
        whole = _one_arc(one, two)
    return None if whole is None else PieceSide(whole, first.halves + second.halves)


def _one_line(one: Line, two: Line, straight: float) -> Line | None:
    if _off(one.start, two.end, one.end) > straight or _turns_back(one, two):
        return None
    return Line(one.start, two.end)


def _one_arc(one: Arc, two: Arc) -> Segment | None:
    sweep = one.sweep + two.sweep
    if one.bulge * two.bulge < 0.0 or abs(sweep) > math.pi + 1e-9:
        return None
    whole = segment(one.start, two.end, math.tan(sweep / 4.0))
    if not isinstance(whole, Arc) or distance(one.start, two.end) <= _STRAIGHT:
        return None
    # The centre of a short arc is known less well than the arc itself.
    apart = max(distance(one.centre, whole.centre), distance(two.centre, whole.centre))
    apart *= min(abs(one.sweep), abs(two.sweep)) / 4.0
    off = abs(distance(whole.centre, one.end) - whole.radius)
    return whole if max(apart, off) <= _STRAIGHT else None


def _off(start: Point, end: Point, point: Point) -> float:
    """Return the distance of a point from the line between two others."""
    length = distance(start, end)
    if length <= _STRAIGHT:
        return math.inf
    return abs(cross(start, end, point)) / length


def _turns_back(one: Line, two: Line) -> bool:
    ax, ay = one.end.x - one.start.x, one.end.y - one.start.y
    bx, by = two.end.x - two.start.x, two.end.y - two.start.y
    return ax * bx + ay * by <= 0.0
