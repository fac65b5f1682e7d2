"""Parts of work areas, and the room that tools need in them, worked by hand."""

import math

import pytest

from geometry.errors import GeometryError
from geometry.measure import area as area_of
from geometry.model.cutter import Bed, DragBlade, WorkArea
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from geometry.toolpath.reserve import ToolReach, kept_free, room_for_pieces, within
from geometry.toolpath.waste import line_up_stroke

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


def test_room_for_a_first_cut_moves_inwards_where_corners_are_missing() -> None:
    # 100 by 50 mm, cut off 10 mm from each corner at 45 degrees
    ends = [(10, 0), (90, 0), (100, 10), (100, 40), (90, 50), (10, 50), (0, 40), (0, 10)]
    rooms = list(kept_free(WorkArea(Outline.of(ends)), DragBlade(offset=0.25)))
    boxes = [each.keep_outs[-1].bounds for each in rooms]
    assert len(boxes) == 4
    for box in boxes:
        # derived: the sides that cut the corners off are x + y = 10 and its images
        assert min(box.left, 100 - box.right) + min(box.bottom, 50 - box.top) >= 10.0 - 0.02
    # a half turn of the bed changes nothing
    for one, other in zip(boxes[:2], boxes[2:], strict=True):
        turned = (100 - other.right, 50 - other.top, 100 - other.left, 50 - other.bottom)
        assert tuple(one) == pytest.approx(turned)


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


def test_a_first_cut_stands_upright_in_an_upright_strip() -> None:
    found = line_up_stroke([], WorkArea.rectangle(0, 0, 1.2, 4.0), 0.25)
    assert found is not None
    (ax, ay, _), (bx, by, _) = found.vertices
    assert (bx - ax, by - ay) == pytest.approx((0.0, 3.0))


def test_a_first_cut_lies_in_the_part_near_the_start_of_the_bed() -> None:
    block = Outline.of([(5, 0), (14, 0), (14, 9), (5, 9)])
    area = WorkArea(Outline.of([(0, 0), (60, 0), (60, 9), (0, 9)]), (block,))
    found = line_up_stroke([], area, 0.25)
    assert found is not None
    assert max(vertex.x for vertex in found.vertices) < 5.0
