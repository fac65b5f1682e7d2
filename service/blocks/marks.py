"""Match marks of a block: short lines across its seams, the same on both pieces."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from geometry.blocks.block import DrawnBlock
from geometry.model.outline import Chain
from geometry.model.points import Point, distance
from geometry.model.segments import Segment

#: Length of a mark inside a piece, mm, and its largest share of the edge.
_LENGTH, _SHARE = 2.5, 0.12
#: Along a straight edge, and along an arc.
_STRAIGHT, _CURVED = (0.5,), (0.25, 0.5, 0.75)
_STEP = 1.0e-3


def match_marks(block: DrawnBlock) -> dict[int, Sequence[Chain]]:
    """Return the match marks of each piece, by its number, in the block."""
    found: dict[int, list[Chain]] = defaultdict(list)
    for part, left, right in block.found.inner_edges():
        reach = min(_LENGTH, _SHARE * part.length)
        for share in _CURVED if part.bulge else _STRAIGHT:
            at, aside = part.point_at(share), _aside(part, share)
            for piece, side in ((left, reach), (right, -reach)):
                inside = Point(at.x + side * aside.x, at.y + side * aside.y)
                found[piece].append(Chain.of([at, inside]))
    return dict(found)


def _aside(part: Segment, share: float) -> Point:
    """Return the direction to the left of a segment at a place on it."""
    one, two = part.point_at(share - _STEP), part.point_at(share + _STEP)
    length = distance(one, two)
    return Point((one.y - two.y) / length, (two.x - one.x) / length)
