"""What is said of a steel-rule die, against published rules of its makers."""

import pytest
import shapely

from geometry.model.cutter import Bed, Cutter, SteelRuleDie, WorkArea
from geometry.model.outline import Outline, Region
from geometry.model.placement import Load, Placement
from geometry.model.plan import Stroke
from geometry.model.points import distance
from geometry.model.transform import Rigid, moved
from geometry.shapes.catalogue import build
from geometry.toolpath.die import MIN_APART, NEWTON_PER_LBF, DieReport, die_report, press_force
from geometry.toolpath.notches import drawn, notches
from tests.tool_plans import PlanOptions, make_plan


def report(region: Region, places: list[tuple[float, float]]) -> tuple[DieReport, tuple[str, ...]]:
    load = Load(tuple(Placement("A", Rigid(x=x, y=y)) for x, y in places))
    found = make_plan(
        load,
        {"A": region},
        Cutter("bench", SteelRuleDie(), Bed(300, 300)),
        WorkArea.rectangle(0, 0, 300, 300),
        title="",
        entry_angle_deg=None,
        options=PlanOptions(),
    )
    assert found.die is not None
    return found.die, found.warnings


def test_force_of_a_one_inch_hexagon() -> None:
    # C58: 6 in of rule at 500 lbf/in and 15 % for ejection (die makers' public notes; product
    # derived): 3450 lbf, 15.35 kN, to 1 %.
    die, warnings = report(Region(build("hexagon", {"side": 25.4})), [(50, 50)])
    assert die.rule_length == pytest.approx(6 * 25.4)
    assert die.force_lbf == pytest.approx(3450, rel=1e-9)
    assert die.force_kn == pytest.approx(15.35, rel=0.01)
    assert any("3,450 lbf (15.3 kN)" in warning for warning in warnings)
    assert die.min_rule_distance is None


def test_rule_and_room_between_rules() -> None:
    # C56: 2 pt rule is 0.028 in (steel-rule die basics, published).
    assert SteelRuleDie().rule / 25.4 == pytest.approx(0.028, abs=0.001)
    # C57: rules stand at least 3/32 in apart (die makers' public notes).
    assert pytest.approx(2.38, abs=0.005) == MIN_APART
    square = Outline.of([(0, 0), (40, 0), (40, 40), (0, 40)])
    near, payload = report(Region(square), [(10, 10), (52, 10)])
    # The room is for rubber between the rules: half of each, 0.71 mm in all, stands in the gap.
    assert near.min_rule_distance == pytest.approx(2.0 - 0.71)
    assert any("leave 1.29 mm clear" in warning for warning in payload)
    # 2.38 mm between the cut lines are not enough: 1.67 mm would be left.
    _, payload = report(Region(square), [(10, 10), (50 + 3 / 32 * 25.4, 10)])
    assert any("leave 1.67 mm clear" in warning for warning in payload)
    assert any("at least 3.09 mm between their cut lines" in warning for warning in payload)
    far, payload = report(Region(square), [(10, 10), (53.1, 10)])
    assert far.min_rule_distance == pytest.approx(3.1 - 0.71)
    assert not any("clear" in warning for warning in payload)


def test_small_holes_and_rules_side_by_side_count_more() -> None:
    # Published: holes of 3/8 in and less count as 2.5 in of rule; parallel rules within 1/4 in
    # add half the shorter length.
    square = Outline.of([(0, 0), (40, 0), (40, 40), (0, 40)])
    hole = moved(build("circle", {"diameter": 9.0}), 20, 20)
    holed, _ = report(Region(square, (hole,)), [(10, 10)])
    assert holed.effective_rule_length == pytest.approx(160 + 2.5 * 25.4)
    pair, _ = report(Region(square), [(10, 10), (55, 10)])
    assert pair.effective_rule_length == pytest.approx(320 + 20)
    apart, _ = report(Region(square), [(10, 10), (57, 10)])
    assert apart.effective_rule_length == pytest.approx(320)
    assert press_force(25.4) == pytest.approx(575)
    assert pytest.approx(4.44822, rel=1e-5) == NEWTON_PER_LBF  # exact by definition: 0.45359237 g


def test_nicks_and_bridges_keep_off_corners_and_each_other() -> None:
    outline = build("hexagon", {"side": 50.0})
    ring = [Stroke("cut", outline.vertices, closed=True, piece="A", placement=0)]
    die = die_report(ring, ring, 0.71)
    assert len(die.nicks) == 2
    assert len(die.bridges) == 6
    for notch in (*die.nicks, *die.bridges):
        for end in (notch.part.start, notch.part.end):
            assert min(distance(end, vertex.point) for vertex in outline.vertices) >= 4.0
    for nick in die.nicks:
        assert min(distance(nick.at, bridge.at) for bridge in die.bridges) >= 6.0
    # Common practice, no published source: nicks of 0.3 to 0.8 mm, bridges of 6 mm or more.
    assert {round(nick.part.length, 9) for nick in die.nicks} == {0.5}
    assert min(bridge.part.length for bridge in die.bridges) >= 6.0 - 1e-9


def test_notches_are_drawn_and_are_no_rule() -> None:
    square = Outline.of([(0, 0), (40, 0), (40, 40), (0, 40)])
    load = Load((Placement("A", Rigid(x=10, y=10)),))
    plan = make_plan(
        load,
        {"A": Region(square)},
        Cutter("bench", SteelRuleDie(), Bed(300, 300)),
        WorkArea.rectangle(0, 0, 300, 300),
        title="",
        entry_angle_deg=None,
        options=PlanOptions(),
    ).plan
    assert plan.cut_length == pytest.approx(160)
    parts = [stroke.part for stroke in plan.strokes]
    assert parts == ["outline", "nick", "nick", "bridge", "bridge", "bridge", "bridge"]
    rule = shapely.LinearRing([(10, 10), (50, 10), (50, 50), (10, 50)])
    for stroke in plan.strokes[1:]:
        line = shapely.LineString([vertex.point for vertex in stroke.vertices])
        # A tick begins on the rule, a bracket begins and ends on it.
        assert stroke.operation == "mark"
        ends = [shapely.Point(line.coords[0]), shapely.Point(line.coords[-1])]
        assert shapely.Polygon(rule).buffer(1e-9).covers(line)
        assert rule.distance(ends[0]) < 1e-9
        if stroke.part == "nick":
            assert line.length == pytest.approx(2.0)
        else:
            assert rule.distance(ends[1]) < 1e-9


def test_common_edges_have_their_notches_once() -> None:
    square = Outline.of([(0, 0), (40, 0), (40, 40), (0, 40)])
    rings = [
        Stroke("cut", moved(square, x, 0).vertices, closed=True, piece="A", placement=number)
        for number, x in enumerate((0.0, 40.0))
    ]
    nicks, bridges = notches(rings)
    assert len(bridges) == 7
    for number in (0, 1):
        assert sum(number in nick.owners for nick in nicks) >= 2
    places = [(round(notch.at.x, 6), round(notch.at.y, 6)) for notch in (*nicks, *bridges)]
    assert len(set(places)) == len(places)
    # a note on the common edge is no piece's own
    for notch in (*nicks, *bridges):
        (note,) = drawn([notch], rings)
        own = ("A", notch.owners[0]) if len(notch.owners) == 1 else ("", None)
        assert (note.piece, note.placement) == own


def test_tight_bends_and_hollow_corners_are_told() -> None:
    small = build("circle", {"diameter": 1.6})
    _, payload = report(Region(small), [(10, 10)])
    assert any("bends the rule to 0.80 mm" in warning for warning in payload)
    chevron = Outline.of([(0, 0), (20, 10), (40, 0), (40, 30), (20, 40), (0, 30)])
    _, payload = report(Region(chevron), [(10, 10)])
    assert any("hollow corners" in warning for warning in payload)


def test_what_is_said_of_a_die_sentence_by_sentence() -> None:
    # derived: 80 mm of rule, 80 / 25.4 x 500 lbf and 15 % more: 1,811 lbf, 8.06 kN
    square = Outline.of([(0, 0), (20, 0), (20, 20), (0, 20)])
    made, warnings = report(Region(square), [(10, 10)])
    press, drawing, notes = warnings
    assert press == (
        f"The die holds 80.0 mm of steel rule {made.rule:g} mm thick: the press needs about "
        "1,810 lbf (8.06 kN), ejection included: do not use a press that is rated for less. The "
        "maker of the die and the manual of the press have the last word."
    )
    assert drawing.startswith("The drawing is the centre line of the rule's cutting edge (edge in")
    assert drawing.endswith(
        f"is {made.rule:g} mm less, the outside dimension {made.rule:g} mm more."
    )
    # two sides have a nick each in their middle; no side of less than 24 mm has a bridge
    assert notes == (
        "Drawn away from corners: 2 nicks, 0.5 mm wide, in the rule's edge (2 per outline where it "
        "has room) as short strokes inwards, and 0 bridges, 6 mm wide, in its back as brackets; "
        "agree on them with the maker of the die."
    )


def test_smooth_joints_are_no_hollow_corners() -> None:
    _, warnings = report(Region(build("circle", {"diameter": 30.0})), [(10, 10)])
    assert not any("hollow" in warning for warning in warnings)
    chevron = Outline.of([(0, 0), (20, 10), (40, 0), (40, 30), (20, 40), (0, 30)])
    _, warnings = report(Region(chevron), [(10, 10)])
    assert "Piece A has hollow corners; rules are mitred there." in warnings


def test_common_lines_of_a_die_are_one_rule() -> None:
    square = Outline.of([(0, 0), (40, 0), (40, 40), (0, 40)])
    load = Load(tuple(Placement("A", Rigid(x=x, y=10)) for x in (10, 50)))
    found = make_plan(
        load,
        {"A": Region(square)},
        Cutter("bench", SteelRuleDie(), Bed(300, 300)),
        WorkArea.rectangle(0, 0, 300, 300),
        title="",
        entry_angle_deg=None,
        options=PlanOptions(common_line=True),
    )
    assert found.die is not None
    assert found.die.rule_length == pytest.approx(7 * 40)
    assert found.die.force_lbf == pytest.approx(7 * 40 / 25.4 * 575)
