"""Seams: the edges along which two pieces of a block meet, and whether their sides agree."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from geometry.blocks.drawing import FoundBlock
from geometry.blocks.groups import Group
from geometry.blocks.sides import PieceSide
from geometry.model.points import Point, cross
from geometry.model.segments import Segment

#: Sides that meet and differ by more than this, mm, are reported.
_MISMATCH = 0.05


@dataclass(frozen=True)
class Seam:
    """Where two pieces meet.

    Args:
        pieces: their numbers, the lower first.
        length: along the seam, mm.
        is_straight: whether it runs along one line.
    """

    pieces: tuple[int, int]
    length: float
    is_straight: bool


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
    parts: dict[tuple[int, int], list[Segment]] = defaultdict(list)
    for part, one, two in block.inner_edges():
        parts[min(one, two), max(one, two)].append(part)
    return tuple(
        Seam(
            pieces,
            math.fsum(part.length for part in found),
            is_one_line(found, straightness),
        )
        for pieces, found in sorted(parts.items())
    )


def is_one_line(parts: Sequence[Segment], straightness: float) -> bool:
    """Return whether segments lie along one line, in any order."""
    if any(part.bulge and abs(_bow(part)) > straightness for part in parts):
        return False
    if len(parts) == 1:
        return True
    points = [point for part in parts for point in (part.start, part.end)]
    start = points[0]
    end = max(points, key=lambda point: math.dist(start, point))
    start = max(points, key=lambda point: math.dist(end, point))
    length = math.dist(start, end)
    across = (abs(cross(start, end, point)) for point in points)
    return max(across) <= straightness * length


def find_mismatches(
    pieces: Sequence[Sequence[PieceSide]], groups: Sequence[Group]
) -> tuple[Mismatch, ...]:
    """Return the sides that meet in the drawing while those of their templates differ.

    They do if pieces are taken for equal that differ a little.
    """
    template_sides = _template_sides(pieces, groups)
    whole: dict[tuple[int, ...], tuple[int, Segment, Segment]] = {}
    found: list[Mismatch] = []
    for face, sides in enumerate(pieces):
        for side, made in zip(sides, template_sides[face], strict=True):
            # The same edges, seen from the other side.
            other = whole.get(tuple(half ^ 1 for half in reversed(side.halves)))
            if other is None:
                whole[side.halves] = face, side.part, made
                continue
            lengths = abs(made.length - other[2].length)
            bends = abs(_bow(made) + _bow(other[2]))
            if max(lengths, bends) > _MISMATCH:
                pair = min(face, other[0]), max(face, other[0])
                found.append(Mismatch(pair, side.part.point_at(0.5), lengths, bends))
    return tuple(found)


def _bow(part: Segment) -> float:
    return part.bulge * math.dist(part.start, part.end) / 2.0


def _template_sides(
    pieces: Sequence[Sequence[PieceSide]], groups: Sequence[Group]
) -> Mapping[int, list[Segment]]:
    """Return for each piece the sides of its template, in the order of the piece's own."""
    found = {}
    for group in groups:
        # Those of its first piece, on which the template's sides lie.
        sides = [side.part for side in pieces[group.members[0].face]]
        for member in group.members:
            count = len(pieces[member.face])
            found[member.face] = [sides[(at - member.shift) % count] for at in range(count)]
    return found
