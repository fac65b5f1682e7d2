"""Steps of tool paths on squares and circles, worked by hand."""

import itertools
import math
import random

import pytest
from shapely import LineString, Polygon

from geometry.model.cutter import IndexedBlade, WorkArea
from geometry.model.outline import Outline, Region, Vertex
from geometry.model.placement import Load, Placement
from geometry.model.plan import Part, Stroke
from geometry.model.points import Point
from geometry.model.segments import Line
from geometry.model.transform import Rigid
from geometry.shapes.catalogue import build
from geometry.toolpath.angles import best_turns, min_mismatch_deg, needed_angles, worst_mismatch
from geometry.toolpath.indexed import angle_order, mismatch, split_by_angle
from geometry.toolpath.kerf import widened
from geometry.toolpath.lead import with_leads
from geometry.toolpath.neighbours import depth_in_neighbours
from geometry.toolpath.ties import Ties, tie_places, with_ties
from geometry.toolpath.waste import line_up_stroke


def square(x: float, y: float, side: float) -> Outline:
    return Outline.of([(x, y), (x + side, y), (x + side, y + side), (x, y + side)])


def cut(outline: Outline, placement: int | None = 0, part: str = "outline") -> Stroke:
    kind: Part = "hole" if part == "hole" else "outline"
    return Stroke("cut", outline.vertices, closed=True, piece="A", placement=placement, part=kind)


# --- ties


@pytest.mark.parametrize(("width", "is_tied"), [(5.0, True), (5.01, False)])
def test_a_tie_stays_one_and_a_half_widths_off_the_corners(width: float, is_tied: bool) -> None:
    # derived: in the middle of 20 mm, a tie of 5 mm begins 7.5 mm from the corner
    found = with_ties(cut(square(0, 0, 20)), Ties(1, width), 0.0)
    assert found[0].closed is not is_tied
    assert found[0].length == pytest.approx(80.0 - width if is_tied else 80.0)


def test_what_a_blade_cuts_beyond_its_ends_is_added_to_a_tie() -> None:
    (found,) = with_ties(cut(square(0, 0, 20)), Ties(1, 0.5), 1.3)
    assert found.length == pytest.approx(80.0 - 1.8)
    assert found.closed is False


def level(length: float, y: float) -> Line:
    return Line(Point(0.0, y), Point(length, y))


def test_a_tie_goes_to_the_longest_edge_and_the_next_one_far_from_it() -> None:
    assert tie_places([level(20.0, 0), level(20.4, 5)], 1, 1.0, {}) == {1: 1}
    # derived: half of 30 mm is less than 20 mm, half of 50 mm more
    assert tie_places([level(30.0, 0), level(20.0, 5)], 2, 1.0, {}) == {0: 1, 1: 1}
    assert tie_places([level(50.0, 0), level(20.0, 5)], 2, 1.0, {}) == {0: 2}
    rows = [level(20.0, y) for y in (0.0, 30.2, 30.4)]
    assert tie_places(rows, 2, 1.0, {}) == {0: 1, 2: 1}


# --- a blade's angles


def test_the_least_mismatch_of_squares_that_may_or_may_not_turn() -> None:
    blade, piece = IndexedBlade(), {"A": square(0, 0, 20)}
    assert min_mismatch_deg(piece, blade, {"A": None}) == 0
    # derived: 10 and 100 degrees lie 10 degrees off 0 and 90; 20 lies 20 off 0, 25 off 45
    for turn, least in ((0.0, 0), (10.0, 10), (20.0, 20), (25.0, 20), (45.0, 0)):
        assert min_mismatch_deg(piece, blade, {"A": [turn]}) == least


def test_the_worst_direction_lies_half_way_in_the_widest_gap() -> None:
    # derived: between 0 and 30, 30 and 90, 90 and 180 degrees
    blade = IndexedBlade(positions_deg=(0.0, 30.0, 90.0))
    assert math.degrees(worst_mismatch(blade)) == pytest.approx(45.0)


def test_a_larger_mismatch_takes_fewer_angles() -> None:
    # derived: 0, 60 and 120 degrees lie 0, 15 and 15 off three angles, 0, 30 and 30 off two
    ends = [Point(math.cos(math.radians(a)), math.sin(math.radians(a))) for a in (0, 60, 120)]
    sides = [Line(Point(0.0, 0.0), end) for end in ends]
    assert needed_angles(IndexedBlade(), sides) == (0.0, 45.0, 135.0)
    assert needed_angles(IndexedBlade(), sides, math.radians(30.0)) == (0.0, 90.0)


def test_pieces_lie_only_in_their_best_turns() -> None:
    blade, piece = IndexedBlade(), {"A": square(0, 0, 20)}
    assert best_turns(piece, blade, {"A": [10.0, 5.0]}).turns_deg == {"A": (5.0,)}
    # half a nanometre of roughness is none: 80 mm x sin 10 degrees
    near = 10.0 + math.degrees(5e-7 / (80 * math.cos(math.radians(10))))
    assert best_turns(piece, blade, {"A": [10.0, near]}).turns_deg == {"A": (10.0, near)}
    # derived: a square that lies at 10 degrees is level and upright after these
    ends = [20 * complex(math.cos(math.radians(a)), math.sin(math.radians(a))) for a in (10, 100)]
    corners = [0j, ends[0], ends[0] + ends[1], ends[1]]
    slanted = Outline.of([(each.real, each.imag) for each in corners])
    found = best_turns({"A": slanted}, IndexedBlade(positions_deg=(0.0, 90.0)), {"A": None})
    assert found.turns_deg["A"] == pytest.approx((80.0, 170.0, 260.0, 350.0))


def test_marks_are_not_split_by_angles() -> None:
    mark = Stroke("mark", square(0, 0, 20).vertices, closed=True, part="mark")
    assert split_by_angle(IndexedBlade(), [mark]) == [mark]


def test_nothing_to_cut_takes_the_first_angle() -> None:
    assert needed_angles(IndexedBlade(), []) == (0.0,)


@pytest.mark.parametrize("bulge", [1.0, -1.0, 0.4, -0.4])
@pytest.mark.parametrize("turn", range(0, 360, 30))
def test_arcs_either_way_round_are_cut_at_the_nearest_angles(bulge: float, turn: int) -> None:
    blade = IndexedBlade(positions_deg=(10.0, 50.0, 95.0, 140.0))
    end = (10.0 * math.cos(math.radians(turn)), 10.0 * math.sin(math.radians(turn)))
    arc = Stroke("cut", (Vertex(0.0, 0.0, bulge), Vertex(*end)), closed=False)
    found = split_by_angle(blade, [arc])
    assert sum(each.length for each in found) == pytest.approx(arc.length)
    for each in found:
        for part, share in itertools.product(each.segments, (0.001, 0.2, 0.5, 0.8, 0.999)):
            heading = part.heading_at(share)
            nearest = min(mismatch(angle, heading) for angle in blade.positions_deg)
            assert mismatch(each.angle_deg or 0.0, heading) <= nearest + 1e-9


@pytest.mark.parametrize(
    ("entry", "order"),
    [
        (None, [0, 45, 90, 135]),
        (30, [0, 45, 90, 135]),
        (0, [0, 45, 90, 135]),
        (45, [45, 90, 135, 0]),
        (90, [90, 135, 0, 45]),
        (135, [135, 90, 45, 0]),
    ],
)
def test_angles_go_on_from_the_current_one(entry: float | None, order: list[float]) -> None:
    assert angle_order([90, 0, 135, 45, 0], entry) == order


# --- a beam


def test_a_hole_narrower_than_the_beam_is_cut_on_its_line() -> None:
    hole = square(10, 10, 0.4)
    found, warnings = widened(Region(square(0, 0, 40), (hole,)), 0.5)
    assert found.holes == (hole,)
    assert warnings == (
        (
            "has a hole too narrow for a beam of 0.5 mm; it is cut on its line and comes out "
            "0.25 mm large on every side"
        ),
        # derived: 0.25 (sqrt 2 - 1) mm
        "leaves up to 0.10 mm in hollow corners, which a round beam of 0.5 mm cannot reach",
    )
    # the path of the other outline: 40 + 2 x 0.25
    assert found.outline.bounds.width == pytest.approx(40.5)


def test_what_a_round_beam_leaves_in_the_hollow_corners_of_a_hole() -> None:
    # derived: the corners of a square hole, 0.5 (sqrt 2 - 1) = 0.207 mm; a convex piece has none
    _, warnings = widened(Region(square(0, 0, 40), (square(10, 10, 10),)), 1.0)
    assert warnings == (
        "leaves up to 0.21 mm in hollow corners, which a round beam of 1 mm cannot reach",
    )
    assert widened(Region(square(0, 0, 40)), 1.0)[1] == ()
    # the corners of an octagon are flat, but not hollow
    assert widened(Region(build("octagon", {"side": 20.0})), 2.0)[1] == ()


@pytest.mark.parametrize(
    ("outline", "part", "direction_deg"),
    # derived: midway between the edges at the first vertex, away from what is kept
    [
        (square(50, 50, 20), "outline", 225.0),
        (square(50, 50, 20), "hole", 45.0),
        (Outline.of([(50, 50), (70, 50), (50, 84.641)]), "outline", 225.0),
        (Outline.of([(50, 50), (70, 50), (60, 67.3205)]), "outline", 210.0),
    ],
)
def test_a_lead_comes_straight_out_of_the_waste(
    outline: Outline, part: str, direction_deg: float
) -> None:
    room = WorkArea.rectangle(0, 0, 200, 200)
    (found,) = with_leads([cut(outline, part=part)], 0.2, room)
    begin, tip, *_, last = found.vertices
    assert tip.point == last.point == outline.vertices[0].point
    assert not found.closed
    assert math.dist(begin.point, tip.point) == pytest.approx(1.5)
    heading = math.degrees(math.atan2(begin.y - tip.y, begin.x - tip.x)) % 360.0
    assert heading == pytest.approx(direction_deg, abs=1e-3)
    assert len(found.vertices) == len(outline.vertices) + 2


def test_a_lead_is_shorter_beside_a_neighbour() -> None:
    # derived: a corner at (49, 49) is 1.414 mm off; a lead of 1 mm leaves 0.414, one of 1.5 none
    room = WorkArea.rectangle(0, 0, 200, 200)
    found = with_leads([cut(square(50, 50, 20)), cut(square(29, 29, 20), 1)], 0.2, room)
    begin, tip = found[0].vertices[:2]
    assert math.dist(begin.point, tip.point) == pytest.approx(1.0)
    # with a beam 0.3 mm wide, 0.5 mm must be clear: 0.6 mm are left of the four lengths
    found = with_leads([cut(square(50, 50, 20)), cut(square(29, 29, 20), 1)], 0.3, room)
    begin, tip = found[0].vertices[:2]
    assert math.dist(begin.point, tip.point) == pytest.approx(0.6)


def test_a_lead_keeps_inside_the_area_and_off_its_keep_outs() -> None:
    tight = WorkArea.rectangle(49, 49, 100, 100)
    (found,) = with_leads([cut(square(50, 50, 20))], 0.2, tight)
    assert math.dist(found.vertices[0].point, (50.0, 50.0)) == pytest.approx(1.0)
    blocked = WorkArea(square(0, 0, 200), (square(40, 40, 9.9),))
    (found,) = with_leads([cut(square(50, 50, 20))], 0.2, blocked)
    # derived: its corner (49.9, 49.9) is 0.14 mm off, nearer than the shortest lead
    assert found.closed


def test_a_lead_in_a_slot_does_not_run_into_its_other_side() -> None:
    # derived: at 45 degrees, 0.6 mm end 0.08 mm off a slot's far side, and 0.3 mm 0.21 mm off both
    slot = [(25, 10), (25, 40), (0, 40), (0, 0), (50, 0), (50, 40), (25.5, 40), (25.5, 10)]
    room = WorkArea.rectangle(-10, -10, 100, 100)
    (found,) = with_leads([cut(Outline.of(slot))], 0.2, room)
    begin = found.vertices[0]
    assert tuple(begin.point) == pytest.approx((25 + 0.3 / math.sqrt(2), 10 + 0.3 / math.sqrt(2)))


# --- how deep a cut reaches into a neighbour


NEIGHBOURS = Load((Placement("A", Rigid()), Placement("A", Rigid(x=21.0))))
PIECES = {"A": Region(square(0, 0, 20))}


def reach_of(stroke: Stroke, slot: float = 0.0, beyond: float = 0.0) -> float:
    return depth_in_neighbours([stroke], NEIGHBOURS, PIECES, slot=slot, beyond=beyond)


@pytest.mark.parametrize(("slot", "depth"), [(1.0, 0.0), (2.0, 0.0), (4.0, 1.0), (6.0, 2.0)])
def test_half_a_slot_less_the_gap_is_taken_from_the_neighbour(slot: float, depth: float) -> None:
    assert reach_of(cut(square(0, 0, 20)), slot) == pytest.approx(depth, abs=1e-6)
    assert reach_of(cut(square(0, 0, 20), None), slot) == 0.0


def test_a_stab_reaches_along_the_blade() -> None:
    row = (Vertex(0.0, 10.0), Vertex(20.0, 10.0))
    level = Stroke("cut", row, closed=False, angle_deg=0.0, piece="A", placement=0)
    upright = Stroke("cut", row, closed=False, angle_deg=90.0, piece="A", placement=0)
    free = Stroke("cut", row, closed=False, piece="A", placement=0)
    assert reach_of(level, beyond=4.0) == pytest.approx(3.0, abs=1e-6)
    assert reach_of(upright, beyond=4.0) == 0.0
    assert reach_of(free, beyond=4.0) == 0.0
    ends = (Vertex(20.0, 10.0), Vertex(10.0, 12.0), Vertex(0.0, 10.0))
    for vertices in (ends, ends[::-1]):
        bent = Stroke("cut", vertices, closed=False, angle_deg=0.0, piece="A", placement=0)
        assert reach_of(bent, beyond=4.0) == pytest.approx(3.0, abs=1e-6)


def test_an_open_cut_ends_at_its_last_vertex() -> None:
    # derived: back on that vertex's half circle it would run through (30, 10)
    vertices = (Vertex(20.0, 0.0), Vertex(20.0, 20.0, -1.0))
    assert reach_of(Stroke("cut", vertices, closed=False, piece="A", placement=0)) == 0.0
    closed = Stroke("cut", vertices, closed=True, piece="A", placement=0)
    assert reach_of(closed) == pytest.approx(9.0, abs=0.02)


# --- a drag blade's first cut


def test_a_first_cut_fits_a_strip_that_is_just_long_enough() -> None:
    # derived: 12 offsets of 0.25 mm are 3 mm, between 0.25 mm at either end
    found = line_up_stroke([], WorkArea.rectangle(0, 0, 4.0, 1.2), 0.25)
    assert found is not None
    (ax, ay, _), (bx, by, _) = found.vertices
    assert (bx - ax, by - ay) == pytest.approx((3.0, 0.0))
    assert (found.operation, found.part, found.closed) == ("cut", "line-up", False)
    assert ax >= 0.25
    assert bx <= 3.75
    shorter = line_up_stroke([], WorkArea.rectangle(0, 0, 3.0, 1.2), 0.25)
    assert shorter is not None
    assert shorter.length == pytest.approx(1.5)
    assert line_up_stroke([], WorkArea.rectangle(0, 0, 1.9, 1.2), 0.25) is None


@pytest.mark.parametrize("seed", range(6))
def test_a_first_cut_keeps_off_pieces_and_edges(seed: int) -> None:
    lots = random.Random(seed)  # noqa: S311 - drawn examples
    offset = 0.5
    pieces = [square(lots.uniform(0, 50), lots.uniform(0, 30), 9.0) for _ in range(12)]
    keep_out = square(0, 0, 6)
    area = WorkArea(Outline.of([(0, 0), (60, 0), (60, 40), (0, 40)]), (keep_out,))
    found = line_up_stroke([cut(each) for each in pieces], area, offset)
    assert found is not None
    way = LineString([vertex.point for vertex in found.vertices])
    for each in pieces:
        assert way.distance(Polygon([v.point for v in each.vertices])) >= 0.98 * (offset + 0.3)
    assert way.distance(Polygon([v.point for v in keep_out.vertices])) >= offset - 1e-6
    edge = LineString([(0, 0), (60, 0), (60, 40), (0, 40), (0, 0)])
    assert way.distance(edge) >= offset - 1e-6
