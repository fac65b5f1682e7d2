"""The order in which pieces end, seen from each side of a room: which of them a strip holds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.fitting.holding_polygons import Coordinates
from geometry.model.segments import Bounds

#: Decimals of mm to which pieces that end alike do so, and then lie alike along the side.
_DECIMALS = 6


@dataclass(frozen=True)
class EndOrder:
    """Pieces in the order in which they end, seen from one side.

    Attributes:
        pieces: those that end first first.
        ends: how far from the side each of them ends, in that order, mm.
        boxes: left, bottom, right and top of the box around each of them and all before it.
    """

    pieces: tuple[Placed, ...]
    ends: Coordinates
    boxes: Coordinates

    def box(self, count: int) -> Bounds:
        """Return the box around the first so many pieces."""
        left, bottom, right, top = self.boxes[count - 1].tolist()
        return Bounds(left, bottom, right, top)


def end_orders(laid: Sequence[Placed], most: int) -> Iterator[EndOrder]:
    """Yield the first of some pieces, at most so many, as seen from each side.

    In turn from the left, from below, from the right and from above.
    """
    if not laid:
        return
    moves = np.array([(each.x, each.y) for each in laid])
    around = np.array([each.variant.outline.bounds for each in laid]) + np.hstack([moves, moves])
    along = np.round(moves[:, ::-1], _DECIMALS)
    for side in range(4):
        # From the left and from below what counts is where a piece ends on the right and above.
        at, way = (side + 2, 1.0) if side < 2 else (side - 2, -1.0)  # noqa: PLR2004
        ends = np.round(way * around[:, at], _DECIMALS)
        order = np.lexsort((along[:, side % 2], ends))[:most]
        boxes = around[order]
        np.minimum.accumulate(boxes[:, :2], axis=0, out=boxes[:, :2])
        np.maximum.accumulate(boxes[:, 2:], axis=0, out=boxes[:, 2:])
        yield EndOrder(tuple([laid[each] for each in order.tolist()]), ends[order], boxes)
