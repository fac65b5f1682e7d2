"""Strokes, stops and blade angles of a load."""

from itertools import pairwise

import pytest

from geometry.layout import Item, lay_out
from geometry.model.cutter import Bed, Cutter, DragBlade, IndexedBlade, Pen, Tool, WorkArea
from geometry.model.outline import Outline, Region
from geometry.model.transform import moved
from geometry.shapes.catalogue import build
from geometry.toolpath.indexed import angle_words, nearest_position
from geometry.toolpath.plan import Planned, PlanOptions, make_plan

ROOM = WorkArea.rectangle(5, 5, 200, 200)


def planned(tool: Tool, region: Region, entry: float | None = None) -> Planned:
    layout = lay_out([Item("A", region.outline, 12)], ROOM, gap=2.0)
    return make_plan(
        layout.loads[0],
        {"A": region},
        Cutter("bench", tool, Bed(210, 210)),
        ROOM,
        title="",
        entry_angle_deg=entry,
        options=PlanOptions(material="card"),
    )


HEXAGON = Region(build("hexagon", {"side": 25.4}))


def test_every_outline_is_cut_once_and_whole() -> None:
    found = planned(DragBlade(), HEXAGON)
    assert len(found.plan.strokes) == 12
    assert found.plan.cut_length == pytest.approx(12 * 6 * 25.4)
    assert {stroke.placement for stroke in found.plan.strokes} == set(range(12))
    assert all(stroke.closed for stroke in found.plan.strokes)


def test_holes_come_before_the_outline_that_frees_them() -> None:
    hole = moved(build("circle", {"diameter": 6.0}), 0, 0)
    parts = [s.part for s in planned(Pen(), Region(HEXAGON.outline, (hole,))).plan.strokes]
    assert parts == ["hole"] * 12 + ["outline"] * 12


def test_all_pieces_at_one_angle_before_the_next() -> None:
    found = planned(IndexedBlade(), HEXAGON)
    angles = [stroke.angle_deg for stroke in found.plan.strokes]
    changes = sum(a != b for a, b in pairwise(angles))
    turns = [stop for stop in found.plan.stops if stop.reason == "turn-blade"]
    assert changes == len(turns) == 2
    assert found.plan.cut_length == pytest.approx(12 * 6 * 25.4)
    for stop in turns:
        assert f"{stop.angle_deg:g} degrees" in stop.message
        assert angles[stop.before_stroke] == stop.angle_deg
    assert found.plan.stops[0].reason == "load-material"
    assert "degrees" in found.plan.stops[0].message


def test_the_next_load_starts_where_the_blade_was_left() -> None:
    first = planned(IndexedBlade(), HEXAGON)
    second = planned(IndexedBlade(), HEXAGON, first.exit_angle_deg)
    assert second.plan.strokes[0].angle_deg == first.exit_angle_deg
    third = planned(IndexedBlade(), HEXAGON, second.exit_angle_deg)
    assert third.plan == first.plan


def test_an_arc_is_cut_where_the_blade_angle_changes() -> None:
    circle = Region(build("circle", {"diameter": 30.0}))
    found = planned(IndexedBlade(), circle)
    assert found.plan.cut_length == pytest.approx(12 * 30 * 3.14159265, rel=1e-6)
    for stroke in found.plan.strokes:
        for part in stroke.segments:
            for share in (0.0, 0.5, 1.0):
                off = abs((stroke.angle_deg or 0) - _degrees(part.heading_at(share))) % 180
                assert min(off, 180 - off) <= 22.5 + 1e-6


def _degrees(angle: float) -> float:
    import math

    return math.degrees(angle)


def test_nearest_positions() -> None:
    blade = IndexedBlade()
    # derived: a direction between two positions goes to the nearer, 22.5 degrees at worst
    assert nearest_position(blade, 0.0) == 0.0
    assert nearest_position(blade, 1.0471975511965976) == 45.0
    assert nearest_position(blade, 2.0943951023931953) == 135.0
    assert nearest_position(blade, 3.141592653589793) == 0.0


def test_angles_are_words() -> None:
    assert angle_words(0) == "0 degrees (level, along the bed)"
    assert angle_words(45) == "45 degrees (rising to the right)"
    assert angle_words(90) == "90 degrees (upright, across the bed)"
    assert angle_words(135) == "135 degrees (rising to the left)"


def test_order_is_short() -> None:
    from geometry.model.points import Point
    from geometry.toolpath.order import travel

    square = Outline.of([(0, 0), (8, 0), (8, 8), (0, 8)])
    found = planned(DragBlade(), Region(square))
    middles = travel(found.plan.strokes, Point(0, 0))
    assert middles == pytest.approx(found.travel)
    assert found.travel < 12 * 15
