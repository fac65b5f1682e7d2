"""Offsets of rectangles, worked by hand: what is left, in which order, and what is reported."""

import math

import pytest

from geometry.errors import AllowanceError
from geometry.measure import area
from geometry.model.outline import Outline, Region
from geometry.model.points import Point
from geometry.model.segments import Arc
from geometry.offset.allowance import Corners, make_patch
from geometry.offset.corners import treat
from geometry.offset.outline import offset_outline, offset_region
from geometry.offset.raw import move_edges

#: Squares of 20 and 30 mm, joined by a neck 4 mm wide: edges 2 and 8.
DUMBBELL = Outline.of(
    [
        *[(0, 0), (20, 0), (20, 8), (30, 8), (30, -5), (60, -5)],
        *[(60, 25), (30, 25), (30, 12), (20, 12), (20, 20), (0, 20)],
    ]
)
#: A frame 10 mm wide about a hollow of 20 mm, open by a slot of 4 mm: edges 2 and 8.
FRAME = Outline.of(
    [
        *[(0, 0), (40, 0), (40, 18), (30, 18), (30, 10), (10, 10)],
        *[(10, 30), (30, 30), (30, 22), (40, 22), (40, 40), (0, 40)],
    ]
)
#: Two such frames, one above the other.
TWO_FRAMES = Outline.of(
    [
        *[(0, 0), (40, 0), (40, 18), (30, 18), (30, 10), (10, 10), (10, 30), (30, 30), (30, 22)],
        *[(40, 22), (40, 58), (30, 58), (30, 50), (10, 50), (10, 70), (30, 70), (30, 62)],
        *[(40, 62), (40, 80), (0, 80)],
    ]
)
L_SHAPE = Outline.of([(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)])


def rectangle(x: float, y: float, width: float, height: float) -> Outline:
    return Outline.of([(x, y), (x + width, y), (x + width, y + height), (x, y + height)])


def areas(rings: tuple[Outline, ...]) -> list[float]:
    return [area(ring) for ring in rings]


def test_a_neck_is_lost_and_the_larger_part_comes_first() -> None:
    # derived: squares of 20 - 2 x 3 and 30 - 2 x 3
    found = offset_outline(DUMBBELL, -3.0)
    assert areas(found.outlines) == pytest.approx([24.0**2, 14.0**2])
    assert [len(ring.vertices) for ring in found.outlines] == [4, 4]
    assert found.holes == ()
    assert found.events == ("edge 2 vanished", "edge 8 vanished", "parted in 2")


def test_a_slot_closes_on_a_hole() -> None:
    # derived: a square of 40 + 2 x 3 about one of 20 - 2 x 3
    found = offset_outline(FRAME, 3.0)
    assert areas(found.outlines) == pytest.approx([46.0**2])
    assert areas(found.holes) == pytest.approx([14.0**2])
    assert [len(ring.vertices) for ring in (*found.outlines, *found.holes)] == [4, 4]
    assert found.events == ("edge 2 vanished", "edge 8 vanished", "closed in on 1 hole")


def test_two_slots_close_on_two_holes() -> None:
    found = offset_outline(TWO_FRAMES, 3.0)
    assert areas(found.outlines) == pytest.approx([46.0 * 86.0])
    assert areas(found.holes) == pytest.approx([14.0**2, 14.0**2])
    vanished = [f"edge {index} vanished" for index in (2, 8, 10, 16)]
    assert found.events == (*vanished, "closed in on 2 holes")


@pytest.mark.parametrize(
    ("by", "sides"), [(2.0, (16.0, 6.0)), (1.0, (18.0, 8.0)), (-2.0, (24.0, 14.0))]
)
def test_the_larger_hole_comes_first(by: float, sides: tuple[float, float]) -> None:
    holes = (rectangle(10, 10, 10, 10), rectangle(50, 20, 20, 20))
    found = offset_region(Region(rectangle(0, 0, 100, 60), holes), by)
    assert areas(found.outlines) == pytest.approx([(100.0 + 2 * by) * (60.0 + 2 * by)])
    assert areas(found.holes) == pytest.approx([side**2 for side in sides])
    assert found.events == ()


def test_holes_that_close_are_reported_edge_by_edge() -> None:
    small, other = rectangle(10, 10, 4, 4), rectangle(80, 40, 4, 4)
    large = rectangle(50, 20, 20, 20)
    sheet = rectangle(0, 0, 100, 60)

    def events(*holes: Outline) -> tuple[str, ...]:
        return offset_region(Region(sheet, holes), 3.0).events

    first = [f"edge {index} of hole 0 vanished" for index in range(4)]
    second = [f"edge {index} of hole 1 vanished" for index in range(4)]
    assert events(small) == (*first, "1 hole became none")
    assert events(large, small) == (*second, "2 holes became 1")
    assert events(small, other) == (*first, *second, "2 holes became none")


def test_nothing_moves_by_nothing() -> None:
    region = Region(rectangle(0, 0, 100, 60), (rectangle(10, 10, 4, 4),))
    found = offset_region(region, 0.0)
    assert (found.outlines, found.holes) == ((region.outline,), region.holes)
    assert found.events == ()


@pytest.mark.parametrize(
    ("kind", "corner"),
    # derived, what a corner of 5 mm about (20, 20) loses of its square: nothing; a triangle of
    # height 5 (sqrt 2 - 1) with a right angle; all outside a quarter of a circle
    [
        ("mitre", 0.0),
        ("blunt", (5.0 * (math.sqrt(2.0) - 1.0)) ** 2),
        ("round", 25.0 - 25.0 * math.pi / 4.0),
    ],
)
def test_hollow_corners_open_inwards_as_requested(kind: str, corner: float) -> None:
    inward = offset_outline(L_SHAPE, -5.0, corners=Corners(kind))
    assert areas(inward.outlines) == pytest.approx([500.0 + corner])
    assert inward.events == ()
    outward = offset_outline(rectangle(0, 0, 20, 20), 5.0, corners=Corners(kind))
    assert areas(outward.outlines) == pytest.approx([900.0 - 4 * corner])
    assert (outward.holes, outward.events) == ((), ())


def test_a_sharp_tip_is_cut_square_and_the_reach_of_its_mitre_is_stated() -> None:
    # derived: 6.35 / sin(9 degrees) = 40.592 mm, six times the allowance
    half = math.radians(9.0)
    x, y = 100 * math.cos(half), 100 * math.sin(half)
    made = make_patch(Outline.of([(0, 0), (x, -y), (x, y)]), 6.35)
    assert made.warnings == (
        (
            "corner 0 (18 degrees) is cut blunt: a mitre would reach 40.59 mm beyond the "
            "template's corner, more than 4 times the allowance."
        ),
    )


def test_tips_cut_alike_share_a_warning() -> None:
    # derived: 6.35 / sin(10 degrees) = 36.568 mm
    y = 100 * math.tan(math.radians(10.0))
    made = make_patch(Outline.of([(-100, 0), (0, -y), (100, 0), (0, y)]), 6.35)
    assert made.warnings == (
        (
            "corners 0 and 2 (20 degrees) are cut blunt: a mitre would reach 36.57 mm beyond the "
            "template's corner, more than 4 times the allowance."
        ),
    )
    assert [corner.treatment for corner in made.corners] == ["blunt", "mitre", "blunt", "mitre"]


def test_the_reach_of_a_tip_between_two_allowances() -> None:
    # derived: lines 3 and 6 mm beside the arms of a corner of 20 degrees meet where
    # 0.1736 x + 0.9848 y = 3 and 0.1736 x - 0.9848 y = 6: 25.96 mm away, and 4 x 6 = 24
    half = math.radians(10.0)
    tip_x = (3.0 + 6.0) / (2.0 * math.sin(half))
    tip_y = (3.0 - 6.0) / (2.0 * math.cos(half))
    reach = math.hypot(tip_x, tip_y)
    assert reach == pytest.approx(25.96, abs=5e-3)
    x, y = 100 * math.cos(half), 100 * math.sin(half)
    made = make_patch(Outline.of([(0, 0), (x, -y), (x, y)]), 6.0, edges={2: 3.0})
    assert (
        f"corner 0 (20 degrees) is cut blunt: a mitre would reach {reach:.2f} mm"
        in (made.warnings[0])
    )


def test_corners_between_two_allowances_are_not_rounded() -> None:
    made = make_patch(rectangle(0, 0, 50, 50), 6.0, edges={1: 12.0}, corners=Corners("round"))
    assert made.warnings == (
        "corners 1 and 2 (90 degrees) are cut blunt: the two edges have different allowances.",
    )


def test_a_flat_corner_between_two_allowances_stays_a_tip() -> None:
    # derived: at 30 degrees the edge with 2 mm ends (6 cos 30 - 2) / sin 30 = 6.4 mm sooner
    radius = 20.0 / math.sin(math.pi / 12)
    corners = [math.tau * k / 12 for k in range(12)]
    ring = Outline.of([(radius * math.cos(a), radius * math.sin(a)) for a in corners])
    made = make_patch(ring, 2.0, edges={1: 6.0}, corners=Corners("blunt"))
    assert made.warnings == (
        "corners 1 and 2 (150 degrees) are cut mitre: the two edges have different allowances.",
    )


def test_a_cusp_is_cut_square_because_its_edges_never_meet() -> None:
    # a half crescent: two arcs that touch at (20, 0) but for a thousandth of a degree
    ring = Outline.of([(20, 0, 1), (-20, 0), (0, 0, -(1 - 1e-5))])
    made = make_patch(ring, 2.0)
    (warning,) = made.warnings
    assert warning == "corner 0 (0.001 degrees) is cut blunt: the edges there never meet."


@pytest.mark.parametrize(
    ("kind", "tail"),
    # derived, beyond a right angle: a sqrt 2; the ends of a cut a beyond the corner; a
    [("mitre", 6 * math.sqrt(2)), ("blunt", 6 / math.cos(math.pi / 8)), ("round", 6.0)],
)
def test_tails_of_a_square_and_of_corners_too_flat_to_cut(kind: str, tail: float) -> None:
    made = make_patch(rectangle(0, 0, 50, 50), 6.0, corners=Corners(kind))
    assert [each.treatment for each in made.corners] == [kind] * 4
    assert [each.tail for each in made.corners] == pytest.approx([tail] * 4)
    flat = Outline.of([(0, 0), (50, -1e-4), (100, 0), (100, 50), (0, 50)])
    corner = make_patch(flat, 6.0, corners=Corners(kind)).corners[1]
    assert (corner.corner, corner.treatment) == (1, kind)
    assert corner.tail == pytest.approx(6.0)
    outline = make_patch(flat, 6.0, corners=Corners(kind)).outline
    assert min(part.length for part in outline.segments) > 1.0


@pytest.mark.parametrize(("bulge", "radius"), [(1.25e-4, 20_005.0), (-1.25e-4, 19_995.0)])
def test_an_arc_about_a_far_centre_moves_by_its_allowance(bulge: float, radius: float) -> None:
    # derived: 10 mm of a circle of 20 m; its ends move along its normals, its sweep stays
    ring = Outline.of([(0, 0, bulge), (10, 0), (10, 10), (0, 10)])
    moved = move_edges(ring, [5.0] * 4)[0].segment
    assert isinstance(moved, Arc)
    assert moved.radius == pytest.approx(radius, rel=1e-6)
    for end, x, side in ((moved.start, 0.0, -1.0), (moved.end, 10.0, 1.0)):
        lean = side * 5.0 * math.sin(2.0 * math.atan(bulge))
        assert tuple(end) == pytest.approx((x + lean, -5.0), abs=1e-6)


def test_the_largest_allowance_of_a_slot_is_half_its_width() -> None:
    slot = Outline.of([(0, 0), (50, 0), (50, 40), (30, 40), (30, 10), (20, 10), (20, 40), (0, 40)])
    with pytest.raises(AllowanceError) as caught:
        make_patch(slot, 8.0)
    assert caught.value.largest == pytest.approx(5.0, abs=1.001e-3)
    assert str(caught.value).endswith(
        " An allowance that works for this outline is less than 5.000 mm."
    )
    # derived: with 8 mm on one side of the slot and none on the other, it closes at 10 mm
    assert make_patch(slot, 0.0, edges={3: 8.0}).warnings == ()
    with pytest.raises(AllowanceError, match="with those of single edges in proportion") as caught:
        make_patch(slot, 8.0, edges={5: 4.0})
    assert caught.value.largest == pytest.approx(8.0 * 10.0 / 12.0, abs=1.001e-3)
    with pytest.raises(AllowanceError) as caught:
        make_patch(slot, 0.0, edges={3: 12.0})
    assert caught.value.largest == pytest.approx(10.0, abs=1.001e-3)


def test_an_allowance_that_cannot_be() -> None:
    with pytest.raises(AllowanceError) as caught:
        make_patch(rectangle(0, 0, 50, 50), 6.0, edges={1: -0.1})
    assert (str(caught.value), caught.value.largest) == ("A seam allowance is 0 or more.", None)
    thin = 0.001
    slot = Outline.of([(0, 0), (50, 0), (50, 40), (25 + thin, 40), (25, 10), (25, 40), (0, 40)])
    with pytest.raises(AllowanceError, match="No allowance works for this outline") as caught:
        make_patch(slot, 1.0)
    assert caught.value.largest is None


@pytest.mark.parametrize("quarters", range(4))
def test_a_right_angled_triangle_with_a_notch(quarters: int) -> None:
    # derived: all sides move out by 0.5 mm, so the right angle's corner by that in both directions
    corners = [(0.0, 0.0), (10.0, 0.0), (12.0, 5.0), (14.0, 0.0), (30.0, 0.0), (0.0, 20.0)]
    tip = (-0.5, -0.5)
    for _ in range(quarters):
        corners, tip = [(-y, x) for x, y in corners], (-tip[1], tip[0])
    made = make_patch(Outline.of(corners), 0.5)
    assert len(made.outline.vertices) == 6
    assert min(math.dist(each.point, tip) for each in made.outline.vertices) < 1e-9


def test_an_arc_may_start_where_the_last_line_ends() -> None:
    # derived: 20 mm by a half circle of 10 mm radius, all moved out by 1 mm
    ends = [(20, 0, 1), (20, 20), (12, 20), (10, 15), (8, 20), (0, 20), (0, 0)]
    made = make_patch(Outline.of(ends), 1.0)
    (arc,) = [part for part in made.outline.segments if isinstance(part, Arc)]
    assert arc.radius == pytest.approx(11.0)
    assert tuple(made.outline.bounds) == pytest.approx((-1.0, -1.0, 31.0, 21.0))


def test_an_arc_runs_on_to_both_of_its_nearly_smooth_corners() -> None:
    # derived: turns of t = 3e-5 leave 6 tan(t / 2) = 9e-5 mm at either end, too short for a line;
    # along its circle the arc keeps its radius
    turn = 3.0e-5
    sine, cosine = 20.0 * math.sin(turn), 20.0 * math.cos(turn)
    quarter = math.tan(math.pi / 8)
    ends = [(20 - sine, -cosine), (20, 0, quarter), (0, 20), (-cosine, 20 - sine), (-20, -20)]
    outline = make_patch(Outline.of(ends), 6.0).outline
    (arc,) = [part for part in outline.segments if isinstance(part, Arc)]
    assert arc.radius == pytest.approx(26.0, abs=1e-6)
    assert arc.sweep == pytest.approx(math.pi / 2 + 2 * 9e-5 / 26.0, abs=1e-9)
    assert len(outline.vertices) == 5


def test_what_is_left_by_rounding_is_nothing() -> None:
    # derived: a square of half a micrometre
    found = offset_outline(rectangle(0, 0, 20.0005, 20.0005), -10.0)
    assert (found.outlines, found.holes, found.events) == ((), (), ("nothing is left",))


def test_a_step_between_two_allowances_reaches_nothing_beyond_its_corner() -> None:
    # derived: a flat corner of 0.01 rad; a tip would lie 100 mm back along the narrow edge
    found = treat(Point(0.0, 0.0), 0.0, 0.01, (1.0, 2.0), Corners())
    assert (found.treatment, found.cap, found.tail) == ("step", 0.0, 0.0)
    assert tuple(found.tip) == pytest.approx((0.0, -1.0))
    assert tuple(found.entry) == pytest.approx((2 * math.sin(0.01), -2 * math.cos(0.01)))
