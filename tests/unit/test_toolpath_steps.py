"""Strokes, stops, times, travel and areas of a load, worked by hand."""

import math

import pytest

from geometry.measure import area as area_of
from geometry.model.cutter import Bed, Cutter, DragBlade, IndexedBlade, Pen, WorkArea
from geometry.model.outline import Chain, Mark, Outline, Region, Vertex
from geometry.model.placement import Load, Placement
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid
from geometry.shapes.catalogue import build
from geometry.toolpath.angles import best_turns
from geometry.toolpath.drag import compensated
from geometry.toolpath.drag import warnings as drag_warnings
from geometry.toolpath.order import ordered, travel
from geometry.toolpath.reserve import kept_free, within
from geometry.toolpath.route import BEST, NORMAL, QUICK
from geometry.toolpath.steps import Draft, change_from_pen, load_stop
from geometry.toolpath.strokes import nominal_strokes, rank
from geometry.toolpath.ties import Ties
from geometry.toolpath.timing import moving_s, stops_s
from tests.tool_plans import PlanOptions, make_plan

SQUARE = Outline.of([(0, 0), (20, 0), (20, 20), (0, 20)])
ROOM = WorkArea.rectangle(0, 0, 100, 50)


def row(*ends: tuple[float, float], operation: str = "cut", bulge: float = 0.0) -> Stroke:
    (x, y), *others = ends
    vertices = (Vertex(x, y, bulge), *(Vertex(*end) for end in others))
    return Stroke("mark" if operation == "mark" else "cut", vertices, closed=False)


# --- times and stops


def test_a_time_is_drawn_length_and_travel_per_pass_and_the_stops_once() -> None:
    # derived: 60 mm at 20 mm/s and 90 mm at 30 mm/s, twice, and two stops of 15 s
    stops = (Stop(0, "load-material", ""), Stop(1, "snip-ties", ""))
    plan = CutPlan("", 100, 50, ROOM, (row((0, 0), (60, 0)),), stops, passes=2)
    cutter = Cutter("", Pen(), Bed(100, 50), speed=20.0, travel_speed=30.0, stop_s=15.0, passes=2)
    assert stops_s(plan, cutter) == 30.0
    assert moving_s(plan, 90.0, cutter) == pytest.approx(2 * (3.0 + 3.0) + 30.0)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (PlanOptions(), "Load the material. Set it."),
        (PlanOptions(material="other"), "Load the material. Set it."),
        (PlanOptions(material="card"), "Load card. Set it."),
        (PlanOptions(material="card", loading="Hoop the cloth."), "Hoop the cloth. Set it."),
    ],
)
def test_the_first_stop_names_the_material(options: PlanOptions, message: str) -> None:
    assert load_stop(options, " Set it.") == Stop(0, "load-material", message)


def test_the_pen_is_changed_before_the_first_cut() -> None:
    drawn, sliced = row((0, 0), (5, 0), operation="mark"), row((0, 0), (5, 0))
    stop = Stop(0, "load-material", "Load card.")
    draft = Draft([drawn, drawn, sliced], [], (), [stop, Stop(3, "snip-ties", "")])
    change_from_pen(draft)
    assert draft.stops == [
        Stop(0, "load-material", "Load card. Fit the pen first."),
        Stop(2, "change-tool", "Take the pen out and fit the blade.", 1),
        Stop(3, "snip-ties", ""),
    ]
    for alone in (drawn, sliced):
        draft = Draft([alone], [], (), [stop])
        change_from_pen(draft)
        assert draft.stops == [stop]


def test_a_piece_too_small_for_ties_is_told() -> None:
    found = make_plan(
        Load((Placement("A", Rigid(x=20, y=20)),)),
        {"A": Region(SQUARE)},
        Cutter("", Pen(), Bed(100, 50)),
        ROOM,
        title="",
        entry_angle_deg=None,
        options=PlanOptions(ties=Ties(1, 10.0)),
    )
    assert found.warnings == ("Piece A has no edge long enough for a tie.",)
    assert found.plan.cut_length == pytest.approx(80.0)


# --- strokes and their order


def test_marks_creases_holes_and_outlines_in_the_order_of_work() -> None:
    arrow = Chain.of([(2, 2), (4, 2)])
    marks = (Mark("fold", "score", arrow), Mark("grain-arrow", "mark", arrow))
    region = Region(SQUARE, (Outline.of([(8, 8), (12, 8), (12, 12)]),), marks)
    load = Load((Placement("A", Rigid()), Placement("A", Rigid(x=30))))
    found = nominal_strokes(load, {"A": region})
    works = [("mark", "mark"), ("score", "mark"), ("cut", "hole"), ("cut", "outline")]
    assert [(each.operation, each.part) for each in found] == works * 2
    assert [rank(each) for each in found] == [0, 1, 2, 3] * 2
    assert [each.closed for each in found] == [False, False, True, True] * 2
    assert [each.placement for each in found] == [0] * 4 + [1] * 4
    assert rank(Stroke("cut", arrow.vertices, closed=False, part="line-up")) == 3


def test_travel_begins_where_the_last_stroke_ended() -> None:
    closed = Stroke("cut", SQUARE.vertices, closed=True)
    # derived: to (0, 0), where a closed stroke ends too; to (3, 4); from (3, 10) back to (0, 10)
    strokes = [closed, row((3, 4), (3, 10)), row((0, 10), (0, 12))]
    assert travel(strokes, Point(0.0, -7.0)) == pytest.approx(7.0 + 5.0 + 3.0)


def test_open_strokes_are_run_from_their_nearer_end() -> None:
    away = row((50, 0), (10, 0), bulge=0.3)
    (found,) = ordered([away], Point(0.0, 0.0))
    assert found.vertices == (Vertex(10, 0, -0.3), Vertex(50, 0, 0.0))
    (found,) = ordered([away], Point(60.0, 0.0))
    assert found == away


def test_a_closed_stroke_starts_at_its_nearest_corner() -> None:
    (found,) = ordered([Stroke("cut", SQUARE.vertices, closed=True)], Point(30.0, 30.0))
    assert found.vertices[0].point == (20.0, 20.0)
    assert found.closed


def test_kicks_are_limited_by_number_by_strokes_and_by_work() -> None:
    assert QUICK.kicks(10) == 0
    assert [NORMAL.kicks(count) for count in (10, 30, 1000)] == [1, 2, 2]
    assert [BEST.kicks(count) for count in (1, 10, 100, 8000, 8001)] == [150, 150, 80, 1, 0]


# --- a drag blade


def test_the_axis_leads_the_tip_and_swings_about_corners() -> None:
    # derived: 1 mm ahead of the tip along each side, quarter circles at corners, 1 mm of overlap
    swing = math.tan(math.pi / 8)
    around = [
        *[(1, 0, 0), (21, 0, swing), (20, 1, 0), (20, 21, swing), (19, 20, 0), (-1, 20, swing)],
        *[(0, 19, 0), (0, -1, swing), (1, 0, 0), (2, 0, 0)],
    ]
    drawn = row((0, 0), (5, 0), operation="mark")
    stroke = Stroke("cut", SQUARE.vertices, closed=True, piece="A")
    found, heading = compensated(DragBlade(offset=1.0), [drawn, stroke], None)
    assert heading == pytest.approx(0.0)
    assert found[0] == drawn
    assert not found[1].closed
    assert found[1].piece == "A"
    for vertex, wanted in zip(found[1].vertices, around, strict=True):
        assert tuple(vertex) == pytest.approx(wanted, abs=1e-9)
    # a blade that points upwards swings a quarter clockwise first
    found, _ = compensated(DragBlade(offset=1.0), [stroke], math.pi / 2)
    for vertex, wanted in zip(found[0].vertices, [(0, 1, -swing), *around], strict=True):
        assert tuple(vertex) == pytest.approx(wanted, abs=1e-9)
    alone = DragBlade(offset=1.0, machine_compensates=True)
    assert compensated(alone, [stroke], 0.3) == ([stroke], 0.3)


def test_an_edge_shorter_than_the_overlap_is_overlapped_once() -> None:
    small = Outline.of([(0, 0), (0.5, 0), (0.5, 20), (0, 20)])
    ((found,), _) = compensated(
        DragBlade(offset=1.0), [Stroke("cut", small.vertices, closed=True)], None
    )
    assert tuple(found.vertices[-1].point) == pytest.approx((1.5, 0.0))


@pytest.mark.parametrize(("piece", "named"), [("A", "Piece A"), ("", "A cut")])
def test_details_too_small_for_a_blade_are_named(piece: str, named: str) -> None:
    end = (
        "below three blade offsets (3 mm); the blade may not align there; expect errors up to 1 mm."
    )
    small = build("square", {"side": 2.0})
    square = Stroke("cut", small.vertices, closed=True, piece=piece)
    assert drag_warnings(DragBlade(offset=1.0), [square]) == [
        f"{named}: its smallest edge is 2 mm long, {end}"
    ]
    ring = build("circle", {"diameter": 4.0})
    circle = Stroke("cut", ring.vertices, closed=True, piece=piece)
    assert drag_warnings(DragBlade(offset=1.0), [circle]) == [
        f"{named}: its smallest arc is 2 mm in radius, {end}"
    ]
    just = Stroke("cut", build("square", {"side": 3.0}).vertices, closed=True)
    assert drag_warnings(DragBlade(offset=1.0), [just]) == []


# --- a hand-set blade


def test_the_roughness_of_squares_and_hexagons() -> None:
    blade = IndexedBlade()
    # derived: 80 mm at 10 degrees; two pairs of sides of 20 mm at 15 degrees
    found = best_turns({"A": SQUARE}, blade, {"A": [370.0]})
    assert (found.angles_deg, found.turns_deg) == ((0.0, 90.0), {"A": (10.0,)})
    assert found.roughness == pytest.approx(80 * math.sin(math.radians(10)), abs=1e-4)
    hexagon = build("hexagon", {"side": 20.0})
    found = best_turns({"A": hexagon}, blade, {"A": None})
    assert len(found.angles_deg) == 3
    assert found.roughness == pytest.approx(80 * math.sin(math.radians(15)), abs=1e-3)
    both = best_turns({"A": SQUARE, "B": SQUARE}, blade, {"A": [10.0], "B": [5.0]})
    expected = 80 * (math.sin(math.radians(10)) + math.sin(math.radians(5)))
    assert both.roughness == pytest.approx(expected, abs=1e-4)


# --- areas


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
