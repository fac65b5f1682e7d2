"""Rows in beds that are no rectangle, counted by hand."""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item
from geometry.layout.beds.bed_rows import BedRows
from geometry.layout.rows.row_units import UnitShape, units_of
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline, Vertex
from geometry.proof.overlap import check_load
from tests.layouts import lay_out


def polygon(*points: tuple[float, float]) -> Outline:
    return Outline(tuple(Vertex(x, y, 0.0) for x, y in points))


def square(side: float) -> Outline:
    return polygon((0, 0), (side, 0), (side, side), (0, side))


#: Two feet of different width under a common bar.
ARCH = polygon((0, 0), (23, 0), (23, 40), (50, 40), (50, 0), (93, 0), (93, 61), (0, 61))


def test_a_row_goes_on_behind_a_break() -> None:
    """Squares of 20 without a gap. The bar from 40 to 61 takes one row of 93 / 20 = 4, the feet of
    23 and 43 below it 1 and 2 in each of two rows: 4 + 2 x 3 = 10. At one phase a row of the feet
    would hold 2: a piece at 0 to 3 and one from 60 to 63, or none there and two from 50 on."""
    item = Item("S", square(20.0), 40, (0.0,))
    room = WorkArea(ARCH)
    shape = UnitShape(item.outline, 0.0)
    unit = next(iter(units_of(shape, 0.0, half_turns=False)))
    placed = BedRows(item, room).free(unit, 0.0)
    assert len(placed) == 10


@pytest.mark.parametrize("side", [0.0, 90.0])
def test_rows_of_a_disc(side: float) -> None:
    """Squares of 10 with gaps of 1 in a disc of 100 across. With a row on the middle its outer
    edges lie 5, 16, 27 and 38 from it: chords 99.5, 94.7, 84.2, 64.99, so 9, 8, 7 and 5 pieces by
    (w + 1) / 11: 9 + 2 x (8 + 7 + 5) = 49. Twice that takes two loads."""
    reach = [5 + 11 * row for row in range(4)]
    held = [math.floor((2 * math.sqrt(2500 - y * y) + 1) / 11) for y in reach]
    by_ruler = held[0] + 2 * sum(held[1:])
    disc = Outline((Vertex(0.0, 50.0, 1.0), Vertex(100.0, 50.0, 1.0)))
    item = Item("S", square(10.0), 98, (side,))
    layout = lay_out([item], WorkArea(disc), gap=1.0, effort="quick")
    load = layout.loads[0]
    assert by_ruler == 49
    assert sum(each.repeats for each in layout.loads) == 2
    assert check_load({"S": item.outline}, load, WorkArea(disc), 1.0) == []


@pytest.mark.parametrize("bed_deg", [8.0, 15.0, 26.565, 40.0, 60.0])
def test_a_piece_may_lie_in_a_sharp_corner_of_a_bed(bed_deg: float) -> None:
    """A right triangle of 60 at the base, half as steep as the bed, fits into the bed's corner;
    four of them never leave the bed."""
    bed = WorkArea(polygon((0, 0), (90, 0), (90, 90 * math.tan(math.radians(bed_deg)))))
    piece = polygon((0, 0), (60, 0), (0, 60 * math.tan(math.radians(bed_deg / 2))))
    item = Item("P", piece, 4, (0.0,), mirror=True)
    layout = lay_out([item], bed, gap=1.0, effort="quick")
    assert sum(load.repeats * len(load.placements) for load in layout.loads) == 4
    for load in layout.loads:
        assert check_load({"P": piece}, load, bed, 1.0) == []


@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_rows_begin_at_the_side_beside_a_keep_out(effort: str) -> None:
    """40 diamonds of 60 degrees, 40 mm long, in columns from the left side of a bed of 300 mm.

    A whole column holds 7 (60 + 6 x 40 = 300), one beside the middle 60 mm twice 2 (60 + 40 of
    120). The 4th to 6th of columns 34.64 mm wide lie beside it: 3 x 7 + 3 x 4 + 7 = 40 in seven.
    Columns that hold most of the whole bed begin behind the keep-out, and leave a slit at the left.
    """
    wide = 20.0 * math.sqrt(3.0)
    item = Item("D", polygon((0, 0), (40, 0), (60, wide), (20, wide)), 40)
    keep_out = polygon((120, 120), (180, 120), (180, 180), (120, 180))
    room = WorkArea(square(300.0), (keep_out,))
    layout = lay_out([item], room, gap=0.0, effort=effort)
    (load,) = layout.loads
    assert check_load({"D": item.outline}, load, room, 0.0) == []
    assert len(load.placements) == 40
    assert layout.used[0].share <= 7.0 * wide / 300.0 + 1e-6
