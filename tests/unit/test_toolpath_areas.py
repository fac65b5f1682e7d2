"""Parts of work areas, and the room that tools need in them, worked by hand."""

import math

import pytest

from geometry.errors import GeometryError
from geometry.measure import area as area_of
from geometry.model.cutter import Bed, DragBlade, WorkArea
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from geometry.toolpath.reserve import ToolReach, kept_free, room_for_pieces, within

SQUARE = Outline.of([(0, 0), (20, 0), (20, 20), (0, 20)])
ROOM = WorkArea.rectangle(0, 0, 100, 50)


def test_a_part_of_a_rectangle() -> None:
    kept = WorkArea(ROOM.boundary, (SQUARE,))
    found = within(kept, Bounds(10, -5, 200, 30))
    assert found is not None
    assert (found.bounds, found.keep_outs) == (Bounds(10, 0, 100, 30), (SQUARE,))
    assert within(kept, Bounds(-1, -1, 101, 51)) is kept
    assert within(kept, Bounds(100, 0, 120, 50)) is None
    assert within(kept, Bounds(0, 50, 100, 60)) is None


def test_a_part_of_a_roll_stays_open() -> None:
    found = within(WorkArea.roll(5, 5, 100, 300), Bounds(0, 0, 200, 50))
    assert found is not None
    assert found.open_right
    assert (found.bounds.left, found.bounds.bottom, found.bounds.height) == (5, 5, 45)
    assert found.longest == 195.0
    endless = WorkArea.roll(5, 5, 100)
    assert within(endless, Bounds(0, 0, math.inf, 200)) is endless


def test_a_part_of_another_form() -> None:
    form = WorkArea(Outline.of([(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)]))
    found = within(form, Bounds(10, 10, 30, 30))
    assert found is not None
    assert area_of(found.boundary) == pytest.approx(300.0)
    assert within(form, Bounds(25, 25, 30, 30)) is None


def test_room_for_a_first_cut_lies_in_each_corner() -> None:
    # derived: (6 + 2) x 0.25 + 0.35 along one side, 2 x 0.25 + 0.35 along the other
    long, wide = 2.35, 0.85
    boxes = [each.keep_outs[-1].bounds for each in kept_free(ROOM, DragBlade(offset=0.25))]
    wanted = [
        (0, 0, long, wide),
        (100 - wide, 0, 100, long),
        (100 - long, 50 - wide, 100, 50),
        (0, 50 - long, wide, 50),
    ]
    assert [pytest.approx(tuple(box)) for box in boxes] == wanted
    (roll,) = kept_free(WorkArea.roll(5, 5, 100, 300), DragBlade(offset=0.25))
    assert (roll.bounds.left, roll.bounds.height) == pytest.approx((5 + wide, 100))
    assert roll.longest == pytest.approx(300 - wide)


def test_a_keep_out_grows_by_the_reach_of_the_axis() -> None:
    block = Outline.of([(40, 20), (60, 20), (60, 30), (40, 30)])
    area = WorkArea(WorkArea.rectangle(10, 10, 80, 30).boundary, (block,))
    found = room_for_pieces(area, Bed(100, 50), ToolReach(axis=2.0, cut=3.0))
    assert found.bounds == Bounds(12, 12, 88, 38)
    (grown,) = found.keep_outs
    assert tuple(grown.bounds) == pytest.approx((38, 18, 62, 32))
    # derived: a disc of 2 mm along all sides and round all corners
    assert area_of(grown) == pytest.approx(200 + 60 * 2 + math.pi * 4, abs=0.2)
    assert room_for_pieces(area, Bed(100, 50), ToolReach()) is area


def test_a_bed_without_room_is_named() -> None:
    with pytest.raises(GeometryError, match="The tool needs 25 mm round every piece") as caught:
        room_for_pieces(ROOM, Bed(100, 50), ToolReach(axis=25.0, cut=25.0))
    assert caught.value.where == ("cutter", "bed")
