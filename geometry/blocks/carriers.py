"""The lines and circles along which the pieces of a block meet."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from geometry.blocks.block import DrawnBlock
from geometry.model.points import Point, cross, distance
from geometry.model.segments import Arc, Segment

#: Places per arc at which it is seen whether a piece lies beside a line.
_SHARES = (0.25, 0.5, 0.75)


@dataclass(frozen=True)
class Adjacency:
    """Which pieces meet along which lines and circles, as bits of whole numbers.

    Args:
        count: of the pieces.
        beside: by piece, its neighbours with the bits of the lines and circles between them.
        is_straight: of each line or circle.
        left: by line, the bits of the pieces that lie wholly on its left; none for a circle.
        right: by line, the bits of those wholly on its right.
    """

    count: int
    beside: tuple[dict[int, int], ...]
    is_straight: tuple[bool, ...]
    left: tuple[int, ...]
    right: tuple[int, ...]

    @property
    def all_pieces(self) -> int:
        """Return the bits of all pieces."""
        return (1 << self.count) - 1

    def reached(self, pieces: int, carriers: int = -1) -> int:
        """Return what of some pieces is joined to the first of them, by some lines and circles."""
        found = todo = pieces & -pieces
        while todo:
            piece = todo.bit_length() - 1
            todo &= ~(1 << piece)
            for other, between in self.beside[piece].items():
                bit = 1 << other
                if between & carriers and bit & pieces and not bit & found:
                    found |= bit
                    todo |= bit
        return found

    def between(self, some: int, others: int) -> int:
        """Return the bits of the lines and circles along which two sets of pieces meet."""
        found = 0
        while some:
            piece = some.bit_length() - 1
            some &= ~(1 << piece)
            for other, carriers in self.beside[piece].items():
                if others >> other & 1:
                    found |= carriers
        return found


def adjacency_of(block: DrawnBlock) -> Adjacency:
    """Return which pieces of a block meet along which lines and circles."""
    carriers: list[Segment] = []
    beside: list[dict[int, int]] = [defaultdict(int) for _ in block.sides]
    # Long ones first: they say best where a line runs.
    for part, one, two in sorted(block.found.inner_edges(), key=lambda row: -row[0].length):
        number = _carrier(carriers, part, block.tolerance)
        beside[one][two] |= 1 << number
        beside[two][one] |= 1 << number
    sides = [_sides(block, carrier) for carrier in carriers]
    return Adjacency(
        len(block.sides),
        tuple(map(dict, beside)),
        tuple(not carrier.bulge for carrier in carriers),
        tuple(left for left, _ in sides),
        tuple(right for _, right in sides),
    )


def _carrier(carriers: list[Segment], part: Segment, tolerance: float) -> int:
    """Return the number of the line or circle of a segment; a new one is added."""
    for number, known in enumerate(carriers):
        if isinstance(known, Arc) and isinstance(part, Arc):
            if (
                distance(known.centre, part.centre) <= tolerance
                and abs(known.radius - part.radius) <= tolerance
            ):
                return number
        elif (
            not known.bulge
            and not part.bulge
            and max(abs(_aside(known, part.start)), abs(_aside(known, part.end))) <= tolerance
        ):
            return number
    carriers.append(part)
    return len(carriers) - 1


def _aside(line: Segment, point: Point) -> float:
    """Return the distance of a point from a line, mm, left positive."""
    return cross(line.start, line.end, point) / line.length


def _sides(block: DrawnBlock, carrier: Segment) -> tuple[int, int]:
    """Return the bits of the pieces wholly on the left and wholly on the right of a line."""
    left = right = 0
    if carrier.bulge:
        return left, right
    for piece, sides in enumerate(block.sides):
        points = [side.part.start for side in sides]
        points += [
            side.part.point_at(share) for side in sides if side.part.bulge for share in _SHARES
        ]
        off = [_aside(carrier, point) for point in points]
        if min(off) >= -block.tolerance:
            left |= 1 << piece
        elif max(off) <= block.tolerance:
            right |= 1 << piece
    return left, right
