"""Strokes, stops and blade angles of a load."""

from itertools import pairwise

import pytest

from geometry.errors import GeometryError
from geometry.layout import Item
from geometry.model.cutter import Bed, Cutter, DragBlade, IndexedBlade, Pen, Tool, WorkArea
from geometry.model.outline import Chain, Mark, Outline, Region
from geometry.model.placement import Load, Placement
from geometry.model.plan import Stroke
from geometry.model.transform import Rigid, moved
from geometry.shapes.catalogue import build
from geometry.toolpath.drag import warnings as drag_warnings
from geometry.toolpath.indexed import angle_words, nearest_position
from geometry.toolpath.ties import Ties
from tests.layouts import lay_out
from tests.tool_plans import Planned, PlanOptions, make_plan

ROOM = WorkArea.rectangle(5, 5, 200, 200)


#: Ties shorten the drawn length; where that is looked at they are left out.
WHOLE = PlanOptions(material="card", ties=Ties(0))


def planned(
    tool: Tool, region: Region, entry: float | None = None, options: PlanOptions = WHOLE
) -> Planned:
    layout = lay_out([Item("A", region.outline, 12)], ROOM, gap=2.0, effort="quick")
    return make_plan(
        layout.loads[0],
        {"A": region},
        Cutter("bench", tool, Bed(210, 210)),
        ROOM,
        title="",
        entry_angle_deg=entry,
        options=options,
    )


HEXAGON = Region(build("hexagon", {"side": 25.4}))


def test_every_outline_is_cut_once_and_whole() -> None:
    found = planned(Pen(), HEXAGON)
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
    found = planned(Pen(), Region(square))
    middles = travel(found.plan.strokes, Point(0, 0))
    assert middles == pytest.approx(found.travel)
    assert found.travel < 12 * 15


def test_a_drag_blade_is_brought_into_line_once_a_load() -> None:
    found = planned(DragBlade(), HEXAGON)
    assert [stroke.part for stroke in found.plan.strokes] == ["line-up", *["outline"] * 12]
    line_up = found.plan.strokes[0]
    assert line_up.length >= 6 * 0.25
    assert line_up.piece == ""


def test_a_machine_that_compensates_gets_the_outlines() -> None:
    found = planned(DragBlade(machine_compensates=True), HEXAGON)
    assert all(stroke.closed for stroke in found.plan.strokes)
    assert found.plan.cut_length == pytest.approx(12 * 6 * 25.4)
    assert any("0.25 mm" in warning for warning in found.warnings)


@pytest.mark.parametrize(
    ("offset", "is_warned"), [(0.1, True), (0.175, False), (1.0, False), (1.2, True)]
)
def test_unusual_blade_offsets_are_told(offset: float, is_warned: bool) -> None:
    # C61: offsets of swivel blades are 0.007 to 0.039 in, a blade supplier's published range.
    warnings = planned(DragBlade(offset=offset), HEXAGON).warnings
    assert any("outside the usual" in warning for warning in warnings) is is_warned


def test_no_room_to_line_up_is_told() -> None:
    square = Outline.of([(0, 0), (20, 0), (20, 20), (0, 20)])
    load = Load((Placement("A", Rigid()),))
    room = WorkArea.rectangle(0, 0, 20, 20)
    found = make_plan(
        load,
        {"A": Region(square)},
        Cutter("bench", DragBlade(offset=0.5), Bed(20, 20)),
        room,
        title="",
        entry_angle_deg=None,
        options=PlanOptions(),
    )
    assert len(found.plan.strokes) == 1
    assert any("1 mm off" in warning for warning in found.warnings)


def test_ties_are_usual_for_a_set_blade_and_snipped_at_the_end() -> None:
    found = planned(IndexedBlade(), HEXAGON, options=PlanOptions())
    # Two ties an outline; stabs reach half the blade's width past each end of a cut.
    assert found.plan.cut_length == pytest.approx(12 * (6 * 25.4 - 2 * (0.5 + 0.8)))
    assert found.plan.stops[-1].reason == "snip-ties"
    assert found.plan.stops[-1].before_stroke == len(found.plan.strokes)


def test_ties_on_request() -> None:
    options = PlanOptions(ties=Ties(3, 1.5))
    found = planned(Pen(), HEXAGON, options=options)
    assert len(found.plan.strokes) == 12 * 3
    assert found.plan.cut_length == pytest.approx(12 * (6 * 25.4 - 3 * 1.5))
    with pytest.raises(GeometryError) as caught:
        Ties(-1)
    assert caught.value.where == ("count",)
    with pytest.raises(GeometryError, match=r"between 0\.1 and 10 mm") as caught:
        Ties(2, 25.4)
    assert caught.value.where == ("width",)


def test_a_pen_is_changed_for_the_blade() -> None:
    arrow = Mark("grain-arrow", "mark", Chain.of([(-5, 0), (5, 0)]))
    found = planned(DragBlade(), Region(HEXAGON.outline, (), (arrow,)))
    stop = next(stop for stop in found.plan.stops if stop.reason == "change-tool")
    assert stop.before_stroke == 12
    assert found.plan.strokes[12].part == "line-up"
    assert {stroke.operation for stroke in found.plan.strokes[:12]} == {"mark"}


@pytest.mark.parametrize(("gap", "is_warned"), [(0.4, True), (0.6, False)])
def test_gaps_narrower_than_the_swing_are_told(gap: float, is_warned: bool) -> None:
    square = Outline.of([(0, 0), (20, 0), (20, 20), (0, 20)])
    strokes = [Stroke("cut", moved(square, x, 0).vertices, closed=True) for x in (0.0, 20.0 + gap)]
    found = drag_warnings(DragBlade(offset=0.25), strokes)
    assert any("swings" in warning for warning in found) is is_warned


def test_small_edges_and_radii_are_told_with_the_error_to_expect() -> None:
    small = build("square", {"side": 2.0})
    found = drag_warnings(DragBlade(offset=1.0), [Stroke("cut", small.vertices, closed=True)])
    assert any("2 mm long" in warning and "up to 1 mm" in warning for warning in found)
    ring = build("circle", {"diameter": 4.0})
    found = drag_warnings(DragBlade(offset=1.0), [Stroke("cut", ring.vertices, closed=True)])
    assert any("2 mm in radius" in warning for warning in found)
