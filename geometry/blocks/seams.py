"""Seams: the edges along which two pieces of a block meet, and whether their sides agree."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

import numpy as np

from geometry.blocks.drawing import FoundBlock
from geometry.blocks.groups import Group
from geometry.blocks.sides import SideTable
from geometry.model.points import Point, cross
from geometry.model.segments import Segment
from geometry.segment_pairs import Indices

#: Sides that meet and differ by more than this, mm, are reported.
_MISMATCH = 0.05


class Seam(NamedTuple):
    """Where two pieces meet.

    Args:
        pieces: their numbers, the lower first.
        length: along the seam, mm.
        is_straight: whether it runs along one line.
    """

    pieces: tuple[int, int]
    length: float
    is_straight: bool


#: Makes seams of rows, with no call of Python's for each.
_seam_of_row = partial(tuple.__new__, Seam)


@dataclass(frozen=True)
class Mismatch:
    """Two sides that meet in the drawing, though those of the templates differ.

    Args:
        pieces: their numbers.
        at: a place on the seam.
        length_difference: of the two sides, mm.
        bend_difference: of how far they bow out, mm.
    """

    pieces: tuple[int, int]
    at: Point
    length_difference: float
    bend_difference: float


def find_seams(block: FoundBlock, straightness: float) -> tuple[Seam, ...]:
    """Return the seams of a block, by the pieces that they join.

    Args:
        block: its pieces.
        straightness: distance from one line, mm, within which a seam is straight.
    """
    owners = np.array(block.of_half).reshape(-1, 2)
    low, high = owners.min(axis=1), owners.max(axis=1)
    inner = np.flatnonzero((low >= 0) & (low != high))
    if not len(inner):
        return ()
    edges = inner[np.lexsort((inner, high[inner], low[inner]))]
    pairs = np.stack([low[edges], high[edges]], axis=1)
    begins = np.flatnonzero(np.append(True, (pairs[1:] != pairs[:-1]).any(axis=1)))
    counts = np.diff(np.append(begins, len(edges)))
    table = block.network.table()
    lengths = np.add.reduceat(table.lengths[edges], begins)
    are_lines = (np.maximum.reduceat(table.bow[edges], begins) <= straightness).tolist()
    for at in np.flatnonzero(counts > 1).tolist():
        if are_lines[at]:
            parts = edges[begins[at] : begins[at] + counts[at]].tolist()
            are_lines[at] = is_one_line(
                [block.network.part(block.network.edges[edge]) for edge in parts], straightness
            )
    ends = map(tuple, pairs[begins].tolist())
    rows = zip(ends, lengths.tolist(), are_lines, strict=True)
    return tuple(map(_seam_of_row, rows))


def is_one_line(parts: Sequence[Segment], straightness: float) -> bool:
    """Return whether segments lie along one line, in any order."""
    if any(part.bulge and abs(_bow(part)) > straightness for part in parts):
        return False
    if len(parts) <= 1:
        return True
    points = [point for part in parts for point in (part.start, part.end)]
    start = points[0]
    end = max(points, key=lambda point: math.dist(start, point))
    start = max(points, key=lambda point: math.dist(end, point))
    length = math.dist(start, end)
    across = (abs(cross(start, end, point)) for point in points)
    return max(across) <= straightness * length


def find_mismatches(sides: SideTable, groups: Sequence[Group]) -> tuple[Mismatch, ...]:
    """Return the sides that meet in the drawing while those of their templates differ.

    They do if pieces are taken for equal that differ a little.
    """
    pairs = _meeting_sides(sides)
    if not len(pairs):
        return ()
    made = _template_sides(sides, groups)[pairs]
    lengths = np.abs(np.diff(sides.table.side_lengths[made], axis=1))[:, 0]
    bends = np.abs(sides.table.bows[made].sum(axis=1))
    found = []
    for at in np.flatnonzero(np.maximum(lengths, bends) > _MISMATCH).tolist():
        # Seen from the one that comes later.
        other, side = (int(each) for each in pairs[at])
        piece, first = int(sides.table.owner[side]), int(sides.table.owner[other])
        part = sides.outlines[piece].segments[side - int(sides.table.begins[piece])]
        pair = min(piece, first), max(piece, first)
        found.append(Mismatch(pair, part.point_at(0.5), float(lengths[at]), float(bends[at])))
    return tuple(found)


def _meeting_sides(sides: SideTable) -> Indices:
    """Return pairs of sides that consist of the same edges, the earlier one first, one row each."""
    # Sides of one edge are found by its number, the others, which are few, by all of theirs.
    firsts = np.fromiter((halves[0] for halves in sides.halves), np.intp, len(sides.halves))
    counts = np.fromiter(map(len, sides.halves), np.intp, len(sides.halves))
    singles = np.flatnonzero(counts == 1)
    of_half = np.full(int(firsts.max(initial=0)) + 2, -1)
    of_half[firsts[singles]] = singles
    other = of_half[firsts[singles] ^ 1]
    is_later = (other >= 0) & (other < singles)
    found = np.stack([other[is_later], singles[is_later]], axis=1)
    known: dict[tuple[int, ...], int] = {}
    more = []
    for number in np.flatnonzero(counts > 1).tolist():
        halves = sides.halves[number]
        # The same edges, seen from the other side.
        before = known.get(_backwards(halves))
        if before is None:
            known[halves] = number
        else:
            more.append((before, number))
    found = np.concatenate([found, np.array(more, dtype=np.intp).reshape(-1, 2)])
    return np.asarray(found[found[:, 1].argsort(kind="stable")])


def _backwards(halves: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(half ^ 1 for half in reversed(halves))


def _template_sides(sides: SideTable, groups: Sequence[Group]) -> Indices:
    """Return for each side that of its group's first piece on which it lies."""
    table = sides.table
    first, shift = (np.empty(len(table.counts), dtype=np.intp) for _ in range(2))
    for group in groups:
        # The template's sides are those of its first piece.
        template = group.members[0].face
        for member in group.members:
            first[member.face], shift[member.face] = template, member.shift
    owner = table.owner
    at = np.arange(len(owner)) - table.begins[owner]
    return np.asarray(table.begins[first][owner] + (at - shift[owner]) % table.counts[owner])


def _bow(part: Segment) -> float:
    return part.bulge * math.dist(part.start, part.end) / 2.0
