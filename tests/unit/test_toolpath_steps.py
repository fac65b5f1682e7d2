"""Strokes, stops, times and travel of a load, worked by hand."""

import math
from dataclasses import replace

import pytest

from geometry.errors import GeometryError
from geometry.model.cutter import Bed, Cutter, DragBlade, IndexedBlade, Pen, WorkArea
from geometry.model.outline import Chain, Mark, Outline, Region, Vertex
from geometry.model.placement import Load, Placement
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.points import Point
from geometry.model.transform import Rigid
from geometry.shapes.catalogue import build
from geometry.toolpath.angles import best_turns
from geometry.toolpath.drag import compensated
from geometry.toolpath.drag import warnings as drag_warnings
from geometry.toolpath.indexed import angle_words
from geometry.toolpath.order import ordered, travel
from geometry.toolpath.route import BEST, NORMAL, QUICK
from geometry.toolpath.steps import Draft, ToolSteps, change_from_pen, load_stop
from geometry.toolpath.strokes import nominal_strokes, rank
from geometry.toolpath.ties import Ties
from geometry.toolpath.timing import moving_s, stops_s
from tests.tool_plans import Planned, PlanOptions, make_plan

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
    draft = Draft([drawn, replace(sliced, angle_deg=45.0)], [], (), [stop])
    change_from_pen(draft)
    message = (
        "Take the pen out and fit the blade. Set the blade to 45 degrees (rising to the right)."
    )
    assert draft.stops[1] == Stop(1, "change-tool", message, 1, 45.0)


@pytest.mark.parametrize(
    ("count", "message"),
    [
        (1, "1 place of 0.5 mm per outline stays uncut"),
        (3, "3 places of 0.5 mm per outline stay uncut"),
    ],
)
def test_ties_are_told(count: int, message: str) -> None:
    assert with_ties_of(Ties(count)).warnings == (
        f"Ties hold each piece: {message}, away from its corners. Snip them afterwards.",
    )


def test_more_ties_than_an_outline_may_have() -> None:
    with pytest.raises(GeometryError, match="An outline has 0 to 48 ties"):
        Ties(49)
    assert Ties(48).count == 48


def with_ties_of(ties: Ties) -> Planned:
    return make_plan(
        Load((Placement("A", Rigid(x=20, y=20)),)),
        {"A": Region(SQUARE)},
        Cutter("", Pen(), Bed(100, 50)),
        ROOM,
        title="",
        entry_angle_deg=None,
        options=PlanOptions(ties=ties),
    )


def test_no_ties_are_not_to_be_snipped() -> None:
    found = with_ties_of(Ties(0))
    assert found.warnings == ()
    assert [stop.reason for stop in found.plan.stops] == ["load-material"]
    stops = with_ties_of(Ties(1)).plan.stops
    assert [stop.reason for stop in stops] == ["load-material", "snip-ties"]


class TiedCard(ToolSteps):
    """A tool whose usual ties depend on the material."""

    def usual_ties(self, material_kind: str) -> Ties | None:
        return Ties(3) if material_kind == "card" else None


def test_usual_ties_depend_on_the_material() -> None:
    assert TiedCard().ties(PlanOptions(material_kind="card")) == Ties(3)
    assert TiedCard().ties(PlanOptions(material_kind="fabric")) is None
    assert TiedCard().ties(PlanOptions(material_kind="card", ties=Ties(1))) == Ties(1)


def test_a_piece_too_small_for_ties_is_told() -> None:
    found = with_ties_of(Ties(1, 10.0))
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
    strokes = [closed, row((3, 4), (9, 9), (3, 10)), row((0, 10), (0, 12))]
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


def test_a_swing_of_less_than_a_hundredth_is_a_straight_step() -> None:
    # derived: 0.009 and 0.011 rad about the tip at 1 mm, and half of these at 0.5 mm
    for offset, turn, is_straight in ((1.0, 0.009, True), (1.0, 0.011, False), (0.5, 0.018, True)):
        ((found,), _) = compensated(DragBlade(offset=offset), [row((0, 0), (9, 0))], turn)
        expected = 0.0 if is_straight else math.tan(-turn / 4)
        assert found.vertices[0].bulge == pytest.approx(expected, abs=1e-12)


def test_a_machine_that_compensates_is_told_its_offset() -> None:
    stroke = Stroke("cut", SQUARE.vertices, closed=True)
    assert drag_warnings(DragBlade(offset=0.25, machine_compensates=True), [stroke]) == [
        (
            "The machine compensates: set its own blade offset to 0.25 mm; the paths are the "
            "pieces' outlines."
        )
    ]


@pytest.mark.parametrize("offset", [0.1, 2.0])
def test_an_unusual_offset_is_told(offset: float) -> None:
    wide = Stroke("cut", build("square", {"side": 50.0}).vertices, closed=True)
    assert drag_warnings(DragBlade(offset=offset), [wide]) == [
        (
            f"A blade offset of {offset:g} mm is outside the usual 0.175 to 1 mm; check it by "
            "cutting a small square: corners must come out sharp."
        )
    ]


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


def test_half_a_turn_of_a_blade_is_none() -> None:
    assert angle_words(180.0) == angle_words(0.0) == "0 degrees (level, along the bed)"
    assert angle_words(270.0) == angle_words(90.0) == "90 degrees (upright, across the bed)"
