"""What a beam burns, simulated as a disc, against the pieces it should leave."""

import math

import pytest
import shapely

from geometry.measure import flattened
from geometry.model.cutter import Bed, Cutter, Laser, WorkArea
from geometry.model.outline import Chain, Outline, Region, Vertex
from geometry.model.placement import Load, Placement
from geometry.model.plan import Stroke
from geometry.model.transform import Rigid, moved, scaled
from geometry.proof.beam import burnt_edge_error
from geometry.shapes.catalogue import CATALOGUE, build
from geometry.toolpath.kerf import widened
from geometry.toolpath.ties import Ties
from tests.short_form import SHAPES, short_form
from tests.tool_plans import Planned, PlanOptions, make_plan

WITHIN = 0.05


def smallest(outline: Outline) -> float:
    return min(min(part.length, getattr(part, "radius", math.inf)) for part in outline.segments)


@pytest.mark.parametrize("kind", CATALOGUE)
@pytest.mark.parametrize("kerf", short_form([0.08, 0.2, 0.45], [0.2]))
def test_every_shape_comes_out_at_size(kind: str, kerf: float) -> None:
    # Slots of the published range; the smallest outline that is promised: edges and radii of
    # three times what the line stands off.
    plain = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    outline = scaled(plain, 3.0 * max(kerf / 2.0, 0.175) / smallest(plain))
    wide, warnings = widened(Region(outline), kerf)
    assert warnings == ()
    stroke = Stroke("cut", wide.outline.vertices, closed=True)
    deepest, farthest = burnt_edge_error(stroke, outline.vertices, kerf, step=0.005)
    assert deepest <= 0.001
    assert farthest <= WITHIN


@pytest.mark.parametrize("kind", short_form(CATALOGUE, SHAPES))
def test_every_shape_in_a_whole_plan(kind: str) -> None:
    plain = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    outline = scaled(plain, 24.0 / max(plain.bounds.width, plain.bounds.height))
    found = planned(Region(outline), [(60, 60), (120, 60)])
    placed = [moved(outline, x, 60.0) for x in (60, 120)]
    for stroke in found.plan.strokes:
        own = placed[stroke.placement or 0]
        deepest, farthest = burnt_edge_error(stroke, own.vertices, 0.2, step=0.04)
        assert deepest <= 0.001
        # The path's own points stand apart by a step.
        assert farthest <= WITHIN


@pytest.mark.parametrize("kind", ["hexagon", "jewel", "clamshell"])
def test_only_ties_are_left(kind: str) -> None:
    plain = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    outline = scaled(plain, 30.0 / max(plain.bounds.width, plain.bounds.height))
    ties = Ties(3, 0.8)
    found = planned(Region(outline), [(60, 60)], ties=ties)
    lines = [shapely.LineString(flattened(Chain(s.vertices), 0.001)) for s in found.plan.strokes]
    burnt = shapely.union_all(lines).buffer(0.1 + 0.001)
    ring = shapely.LinearRing(flattened(moved(outline, 60, 60), 0.001))
    left = ring.difference(burnt)
    bridges = [part for part in getattr(left, "geoms", [left]) if part.length > WITHIN]
    # Discs at both ends of a tie round it off: measured on the outline it is a little wider.
    assert len(bridges) == ties.count
    for bridge in bridges:
        assert ties.width <= bridge.length <= ties.width + 0.2 + WITHIN


def test_hollow_corners_too_sharp_for_the_beam_are_told() -> None:
    arrow = Outline.of([(0, 0), (20, 30), (0, 10), (-20, 30)])
    _, warnings = widened(Region(arrow), 0.4)
    # Derived: r (1 / cos(turn / 2) - 1) is left in a hollow corner, r half the slot.
    turn = math.pi - 2.0 * math.atan2(20.0, 20.0)
    left = 0.2 * (1.0 / math.cos(turn / 2.0) - 1.0)
    assert f"leaves up to {left:.2f} mm in hollow corners" in warnings[0]


def test_drawn_and_cut_sizes() -> None:
    # C54, published worked example: kerf 0.2 mm, drawn 2 x 4: part 1.8 x 3.8, opening 2.2 x 4.2.
    # The inverse, which is ours: for a part of 1.8 x 3.8 and an opening of 2.2 x 4.2, draw 2 x 4.
    part = Outline.of([(0, 0), (1.8, 0), (1.8, 3.8), (0, 3.8)])
    wide, _ = widened(Region(part), 0.2)
    assert wide.outline.bounds.width == pytest.approx(2.0, abs=1e-12)
    assert wide.outline.bounds.height == pytest.approx(4.0, abs=1e-12)
    opening = Outline.of([(5, 5), (7.2, 5), (7.2, 9.2), (5, 9.2)])
    frame = Outline.of([(0, 0), (20, 0), (20, 20), (0, 20)])
    holed, _ = widened(Region(frame, (opening,)), 0.2)
    assert holed.holes[0].bounds.width == pytest.approx(2.0, abs=1e-12)
    assert holed.holes[0].bounds.height == pytest.approx(4.0, abs=1e-12)


def test_kerf_from_a_test_square() -> None:
    # C55, published by a digital-fabrication course: 20.14 and 19.76 give 0.19 mm.
    # The beam's path is the same for both: half a kerf outside the part, and inside the opening.
    part = Outline.of([(0, 0), (19.76, 0), (19.76, 19.76), (0, 19.76)])
    opening = Outline.of([(20, 20), (40.14, 20), (40.14, 40.14), (20, 40.14)])
    frame = Outline.of([(0, 0), (60, 0), (60, 60), (0, 60)])
    square, _ = widened(Region(part), 0.19)
    holed, _ = widened(Region(frame, (opening,)), 0.19)
    assert square.outline.bounds.width == pytest.approx(19.95, abs=1e-9)
    assert holed.holes[0].bounds.width == pytest.approx(19.95, abs=1e-9)


def test_a_hollow_narrower_than_the_beam_is_told() -> None:
    notch = Outline(
        (
            Vertex(0, 0),
            Vertex(10, 0),
            Vertex(10, 10),
            Vertex(5.1, 10, -1.0),
            Vertex(4.9, 10),
            Vertex(0, 10),
        )
    )
    _, warnings = widened(Region(notch), 0.4)
    assert "too narrow" in warnings[0]


def planned(region: Region, places: list[tuple[float, float]], **options: object) -> Planned:
    load = Load(tuple(Placement("A", Rigid(x=x, y=y)) for x, y in places))
    return make_plan(
        load,
        {"A": region},
        Cutter("bench", Laser(kerf=0.2), Bed(200, 200)),
        WorkArea.rectangle(0, 0, 200, 200),
        title="",
        entry_angle_deg=None,
        options=PlanOptions(**options),  # type: ignore[arg-type]
    )


def test_leads_start_in_waste_and_spoil_nothing() -> None:
    outline = build("hexagon", {"side": 20.0})
    hole = moved(build("circle", {"diameter": 6.0}), 0, 0)
    places = [(40.0, 40.0), (82.0, 40.0), (40.0, 120.0)]
    found = planned(Region(outline, (hole,)), places)
    parts = [stroke.part for stroke in found.plan.strokes]
    assert parts == ["hole"] * 3 + ["outline"] * 3
    for stroke in found.plan.strokes:
        assert not stroke.closed
        assert stroke.segments[0].length >= 0.3
    for x, y in places:
        ring = moved(outline, x, y)
        for stroke in found.plan.strokes[3:]:
            deepest, _ = burnt_edge_error(stroke, ring.vertices, 0.2, step=0.05)
            assert deepest <= 0.001


def test_pieces_one_kerf_apart_are_cut_once() -> None:
    square = Outline.of([(0, 0), (30, 0), (30, 30), (0, 30)])
    found = planned(Region(square), [(10, 10), (40.2, 10)], common_line=True)
    # Two squares of 30.2 with one side in common: seven sides, two odd corners, one stroke.
    assert len(found.plan.strokes) == 1
    assert found.plan.cut_length == pytest.approx(7 * 30.2)
    for x in (10, 40.2):
        deepest, farthest = burnt_edge_error(
            found.plan.strokes[0], moved(square, x, 10).vertices, 0.2, step=0.05
        )
        assert deepest <= 0.001
        assert farthest <= 0.05


def test_touching_pieces_leave_no_room_for_the_kerf_and_that_is_said() -> None:
    square = Outline.of([(0, 0), (30, 0), (30, 30), (0, 30)])
    found = planned(Region(square), [(10, 10), (40, 10)], common_line=True)
    assert found.plan.cut_length == pytest.approx(7 * 30)
    assert any("0.1 mm short on every side" in warning for warning in found.warnings)
