"""A few pieces of several kinds on a roll: lanes side by side along it, then columns across it.

The sums are along the roll, in mm; a gap follows each column but the last.
"""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item
from geometry.layout.objective import placement_bounds
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out
from tests.plain_items import circle, rectangle, square
from tests.short_form import few

#: The pieces, the roll's width, the gap, and the length by hand.
CASES = [
    # 9 rectangles standing, 9 x 52 = 468, beside two rows of 6 squares, 6 x 81 = 486; across 124
    # and 162, 286 of 290
    ([rectangle("A", 124.0, 52.0, 9), square("B", 81.0, 12)], 290.0, 0.0, 486.0),
    # a lane 68 wide with 5 circles, 5 x 68 = 340, below 4 columns of the squares, 4 x 85 = 340:
    # one square and 2 circles, then three times 3 squares; a column of 3 squares and a circle, 82:
    # 340 + 82 = 422, and across 68 + 3 x 85 - 3 = 320
    ([square("A", 82.0, 13), circle("B", 65.0, 8)], 320.0, 3.0, 422.0),
    # a lane 82.5 wide with a circle and a large square, 31.5 + 82.5 = 114, beside 3 rows of 2 small
    # squares, 2 x 58.5 = 117; a column with a row of 5 circles below 3 rows of 2 large squares,
    # 2 x 82.5 - 1.5 = 163.5: 117 + 163.5 = 280.5
    (
        [circle("A", 30.0, 6), square("B", 81.0, 7), square("C", 57.0, 6)],
        280.0,
        1.5,
        280.5,
    ),
    # 2 x 2 circles, 2 x 64 = 128, above 2 x 2 large squares, 2 x 45 = 90, and a large square on 2
    # small ones, 2 x 36 = 72: 128 + 90 = 218 of 224 across; beside the circles 3 small squares, 36:
    # 36 + 128 = 164 and 90 + 72 = 162, less the gap 160
    (
        [circle("A", 60.0, 4), square("B", 32.0, 5), square("C", 41.0, 5)],
        220.0,
        4.0,
        160.0,
    ),
]


@pytest.mark.parametrize(("pieces", "width", "gap", "by_hand"), few(CASES, 2))
def test_no_longer_than_by_hand(
    pieces: list[Item], width: float, gap: float, by_hand: float
) -> None:
    room = WorkArea.roll(2.0, 3.0, width)
    (load,) = lay_out(pieces, room, gap=gap, effort="normal").loads
    outlines = {piece.piece: piece.outline for piece in pieces}
    assert check_load(outlines, load, room, gap) == []
    assert dict(load.outlines) == {piece.piece: piece.quantity for piece in pieces}
    assert placement_bounds(load.placements, outlines).right - 2.0 <= by_hand + 1e-3


@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_columns_of_many_pieces(effort: str) -> None:
    """30 squares and 20 half squares of 60 mm and 12 of 60 by 120, 6 mm all round, 479.5 mm wide.

    The patches are 72, 72 by 132, and half squares with legs of 60 + 6 x 3.414 = 80.49 mm; two of
    these make a square with a gap of 2 mm across it, 83.3 mm along a leg. Two columns of 6 squares
    (6 x 72 + 10 = 442 across), four of 3 rectangles and a square (3 x 132 + 72 + 6 = 474), three of
    3 squares and 3 pairs (3 x 72 + 3 x 83.3 + 10 = 476) and one of 5 squares and a pair: 6 columns
    of 72 mm and 4 of 80.49 with 9 gaps take 771.9 mm. Squares: 12 + 4 + 9 + 5 = 30.
    """
    legs = 60.0 + 6.0 * (2.0 + math.sqrt(2.0))
    pieces = [
        square("S", 72.0, 30),
        Item("H", build("half_square_triangle", {"side": legs}), 20),
        rectangle("R", 72.0, 132.0, 12),
    ]
    room = WorkArea.roll(2.0, 3.0, 479.5)
    (load,) = lay_out(pieces, room, gap=2.0, effort=effort).loads
    outlines = {piece.piece: piece.outline for piece in pieces}
    assert check_load(outlines, load, room, 2.0) == []
    assert dict(load.outlines) == {"S": 30, "H": 20, "R": 12}
    by_hand = 6 * 72.0 + 4 * legs + 9 * 2.0
    assert placement_bounds(load.placements, outlines).right - 2.0 <= by_hand + 1e-3
