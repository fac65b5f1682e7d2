"""Rectangles of one size that lie and stand on one load, as a person with a pencil lays them.

The sums are the sides in mm; a gap follows each piece but the last, so a side may be longer by a
gap. In square brackets a column and its width.
"""

from __future__ import annotations

import pytest

from geometry.layout import Item
from geometry.layout.objective import placement_bounds
from geometry.layout.rows.box_blocks import BoxBlocks
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out

#: Sides of the piece, how many, sides of the sheet, gap, and the sums.
CASES = [
    # 4 lying rows of 2, 4 x 28.5 = 114; a row of 11 standing, 11 x 28.5 = 313.5; 114 + 125 = 239
    (125.0, 27.0, 19, 320.0, 250.0, 1.5),
    # a lying row of 3, 45; above it [180: 4 standing pairs, 146] [73: 3 lying, 135]: 253, 191
    (73.0, 45.0, 14, 260.0, 200.0, 0.0),
    # 4 lying in a row, 53; above it [222: 3 stacks of 3 lying, 159] [106: 2 standing pairs, 148]
    (74.0, 53.0, 17, 330.0, 220.0, 0.0),
    # [182: 5 lying rows of 2, 200] [120: 2 rows of 3 standing, 182]; a lying row of 3, 40: 240
    (91.0, 40.0, 19, 310.0, 250.0, 0.0),
    # a lying row of 6, 408; 4 rows of 10 standing, 410: 41 + 4 x 68 = 313
    (68.0, 41.0, 46, 410.0, 320.0, 0.0),
]


def laid(piece: Item, room: WorkArea, gap: float) -> tuple[int, float]:
    """Return the loads at quick effort and their material in sheets; all is sound."""
    found = lay_out([piece], room, gap=gap, effort="quick")
    outlines = {piece.piece: piece.outline}
    assert not any(check_load(outlines, load, room, gap) for load in found.loads)
    assert sum(len(load.placements) * load.repeats for load in found.loads) == piece.quantity
    pairs = list(zip(found.loads, found.used, strict=True))
    share = sum(used.share * load.repeats for load, used in pairs)
    return sum(load.repeats for load, _ in pairs), share


def rectangle(width: float, height: float, count: int, turns: str = "free") -> Item:
    outline = build("rectangle", {"width": width, "height": height})
    return Item("R", outline, count, turns=turns)


@pytest.mark.parametrize(("width", "height", "count", "across", "up", "gap"), CASES)
def test_all_go_on_one_load(
    width: float, height: float, count: int, across: float, up: float, gap: float
) -> None:
    room = WorkArea.rectangle(5.0, 10.0, across, up)
    assert laid(rectangle(width, height, count), room, gap)[0] == 1


def test_a_part_filled_load_lies_and_stands() -> None:
    """15 of 109 by 28 mm on 310 by 310 mm: [109: 11 lying, 308], [28: 2 standing, 218] twice.

    165 mm of 310.
    """
    loads, share = laid(rectangle(109.0, 28.0, 15), WorkArea.rectangle(0.0, 0.0, 310.0, 310.0), 0.0)
    assert loads == 1
    assert share <= 165.0 / 310.0 + 1e-6


def test_a_length_of_roll_lies_and_stands() -> None:
    """25 of 77 by 48 mm on a roll 270 mm wide: [48: 3 across], then [154: 11] twice, 356 mm.

    The 11: three rows of 2 along the roll, 144 mm, and three across, 77 mm high, 144 long.
    """
    piece = rectangle(77.0, 48.0, 25)
    room = WorkArea.roll(0.0, 0.0, 270.0)
    (load,) = lay_out([piece], room, gap=0.0, effort="quick").loads
    outlines = {"R": piece.outline}
    assert check_load(outlines, load, room, 0.0) == []
    assert len(load.placements) == 25
    assert placement_bounds(load.placements, outlines).right <= 356.01


def test_pieces_that_may_not_stand_lie() -> None:
    """Of 125 by 27 mm, gap 1.5, two in a row of 320 mm and eight rows in 250: 16 to a load."""
    piece = rectangle(125.0, 27.0, 19, "half-turn")
    assert laid(piece, WorkArea.rectangle(0.0, 0.0, 320.0, 250.0), 1.5)[0] == 2


def test_sums_of_both_sides() -> None:
    # derived: of 30 and 20 up to 70: 20, 30, 40, 50 = 30 + 20, 60 and 70 = 30 + 2 x 20
    assert BoxBlocks.of(30.0, 20.0, 0.0).sums(70.0) == [0.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0]
    # derived: 2 across and 2 up of 30 by 20 fill 60 by 40, and nothing is larger
    assert BoxBlocks.of(30.0, 20.0, 0.0).most(60.0, 40.0) == 4
    # derived: 50 by 60: a column of 3 lying, 30 wide, beside 2 standing, 20 wide: all of it
    assert BoxBlocks.of(30.0, 20.0, 0.0).most(50.0, 60.0) == 5


def test_many_small_pieces_are_left_to_rows() -> None:
    """Of 7 by 3 mm there are hundreds of sums up to 400 mm: no blocks are sought."""
    assert BoxBlocks.of(7.0, 3.0, 0.0).sums(400.0) == []
