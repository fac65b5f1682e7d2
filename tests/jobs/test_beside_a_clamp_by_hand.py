"""Part-filled loads on beds with a clamp in a corner: rows in the clear rectangle beside it.

By hand: rows of the textbook sizes of the shapes, against the side that leaves the larger whole
rest. The clamps and beds are invented.
"""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item
from geometry.layout.objective import cut_length
from geometry.layout.orders.clear_rectangles import clear_rectangles
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out

EFFORTS = ["quick", pytest.param("normal", marks=pytest.mark.long)]


def bed(width: float, height: float, *clamps: tuple[float, float, float, float]) -> WorkArea:
    """Return a bed with clamps, each from a corner x, y with a width and a height, mm."""
    outlines = [WorkArea.rectangle(*clamp).boundary for clamp in clamps]
    return WorkArea(WorkArea.rectangle(0.0, 0.0, width, height).boundary, tuple(outlines))


def item(kind: str, side: float, count: int) -> Item:
    return Item(kind, build(kind, {"side": side}), count)


def used(items: list[Item], room: WorkArea, effort: str) -> float:
    """Return the area of the strip that one load of everything takes, mm2; it is sound."""
    found = lay_out(items, room, gap=0.0, effort=effort)
    (load,) = found.loads
    assert load.repeats == 1
    assert dict(load.outlines) == {each.piece: each.quantity for each in items}
    assert check_load({each.piece: each.outline for each in items}, load, room, 0.0) == []
    return found.used[0].area


@pytest.mark.parametrize("effort", EFFORTS)
def test_two_kinds_lie_at_the_side_without_the_clamp(effort: str) -> None:
    """12 squares and 24 triangles of 40 mm, a clamp of 40 by 40 mm at the lower left corner.

    Along 305 mm: 7 squares in a row, two rows, 80 mm; n triangles are (n + 1) x 20 mm: 14, two
    rows of 34.64 mm. 149.28 mm from the upper side of 457 mm, which the clamp does not reach.
    """
    items = [item("square", 40.0, 12), item("triangle", 40.0, 24)]
    by_hand = 305.0 * (80.0 + 2.0 * 40.0 * math.sqrt(0.75))
    assert used(items, bed(305.0, 457.0, (0.0, 0.0, 40.0, 40.0)), effort) <= by_hand + 1.0


@pytest.mark.parametrize("effort", EFFORTS)
def test_one_row_of_diamonds_lies_away_from_the_clamp(effort: str) -> None:
    """7 diamonds of 40 mm are 7.5 x 40 = 300 mm long and 34.64 mm high: one row of 305 mm.

    A clamp of 40 by 80 mm stands at the lower left corner; the row lies at the upper side.
    """
    by_hand = 305.0 * 40.0 * math.sqrt(0.75)
    room = bed(305.0, 457.0, (0.0, 0.0, 40.0, 80.0))
    assert used([item("diamond_60", 40.0, 7)], room, effort) <= by_hand + 1.0


@pytest.mark.parametrize("effort", EFFORTS)
def test_between_two_clamps_rows_keep_to_the_clear_side(effort: str) -> None:
    """15 squares of 50 mm on 300 by 300 mm, clamps of 40 by 40 mm at both lower corners.

    From the upper side: six in a row, three rows, 150 mm of 300.
    """
    room = bed(300.0, 300.0, (0.0, 0.0, 40.0, 40.0), (260.0, 0.0, 40.0, 40.0))
    assert used([item("square", 50.0, 15)], room, effort) <= 300.0 * 150.0 + 1.0


@pytest.mark.parametrize("effort", EFFORTS)
def test_two_kinds_lie_side_by_side_below_a_clamp(effort: str) -> None:
    """9 squares of 62 mm and 14 circles of 53 on 430 by 290 mm, a clamp in the middle above.

    The clamp is 30 mm wide and reaches 60 mm down. Squares in 3 rows of 3 are 186 mm square.
    Beside them circles in rows of 4, 3, 4 and 3 are 212 mm long, 398 of 430 mm in all, and
    53 + 3 x 0.8660 x 53 = 190.7 mm high: a strip below the clamp, 0.6576 of the bed.
    """
    circles = Item("circle", build("circle", {"diameter": 53.0}), 14)
    room = bed(430.0, 290.0, (200.0, 230.0, 30.0, 60.0))
    by_hand = 430.0 * (53.0 + 3.0 * math.sqrt(0.75) * 53.0)
    assert used([item("square", 62.0, 9), circles], room, effort) <= by_hand + 1.0


def test_rows_beside_a_clamp_stay_edge_to_edge() -> None:
    """14 half hexagons of 30 mm with common lines on 250 by 320 mm, a clamp in a corner.

    Rows of 5, 5 and 4 are 15 + 5 x 45 = 240 mm long, three of 25.98 mm lie one above the other at
    the side without the clamp. Their outlines are 14 x 5 = 70 sides. In the rows 4 + 4 + 3 pairs
    meet along a side; above each other rows meet along 7 and 6 sides, of which one may be missed:
    70 - 11 - 12 = 47 sides. Rows that are spread take less of the sheet and 56 sides.
    """
    piece, room = item("half_hexagon", 30.0, 14), bed(250.0, 320.0, (0.0, 0.0, 40.0, 40.0))
    found = lay_out([piece], room, gap=0.0, effort="quick", common_line=True)
    (load,) = found.loads
    outlines = {piece.piece: piece.outline}
    assert check_load(outlines, load, room, 0.0) == []
    assert cut_length(load.placements, outlines) <= 47.0 * 30.0
    assert found.used[0].area <= 250.0 * 3.0 * 30.0 * math.sqrt(0.75) + 1.0


def test_clear_rectangles_are_the_largest_between_corners() -> None:
    """A clamp of 80 by 20 mm in the lower right corner of 300 by 300 mm.

    Above it 300 by 280 mm are clear, beside it 220 by 300; the part of both that is left lies
    within either.
    """
    found = clear_rectangles(bed(300.0, 300.0, (220.0, 0.0, 80.0, 20.0)))
    boxes = [tuple(each.bounds) for each in found]
    assert boxes == [(0.0, 20.0, 300.0, 300.0), (0.0, 0.0, 220.0, 300.0)]


def test_a_round_bed_has_no_clear_rectangle() -> None:
    """Its corners lie where the arcs meet: no rectangle between them is clear."""
    assert clear_rectangles(WorkArea(build("circle", {"diameter": 200.0}))) == ()


def test_a_sloping_corner_takes_no_rectangle_with_it() -> None:
    """A bed of 300 by 200 mm whose upper right corner is cut off 60 mm along either side.

    Clear are 300 by 140 mm below the slope and 240 by 200 mm beside it.
    """
    shape = Outline.of([(0, 0), (300, 0), (300, 140), (240, 200), (0, 200)])
    boxes = [tuple(each.bounds) for each in clear_rectangles(WorkArea(shape))]
    assert boxes == [(0.0, 0.0, 240.0, 200.0), (0.0, 0.0, 300.0, 140.0)]
