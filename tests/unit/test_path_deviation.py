"""How far a read stroke is from its plan, by distances that are calculated by hand."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from adapters.path_deviation import deviation
from adapters.readers.strokes import ReadSegment, ReadStroke, straight
from adapters.tracks import track_of
from geometry.model.outline import Vertex
from geometry.model.plan import Stroke
from geometry.model.points import Point

QUARTER, THREE_QUARTERS = math.tan(math.pi / 8.0), math.tan(3.0 * math.pi / 8.0)
FAR = math.inf


def drawn(*places: tuple[float, float], closed: bool = False) -> ReadStroke:
    return straight([Point(*each) for each in places], closed=closed, group="")


def planned(*vertices: tuple[float, ...], closed: bool = False) -> Stroke:
    return Stroke("cut", tuple(Vertex(*each) for each in vertices), closed=closed)


@pytest.mark.parametrize(
    ("ends", "place", "wanted"),
    [
        # A line from (10, 20) 10 mm to the right, then one of slope 3:4.
        (((10, 20), (20, 20)), (15, 23), 3.0),
        (((10, 20), (20, 20)), (12, 13), 7.0),
        (((10, 20), (20, 20)), (23, 24), 5.0),
        (((10, 20), (20, 20)), (7, 16), 5.0),
        (((1, 2), (7, 10)), (8, 3), 5.0),
        (((1, 2), (7, 10)), (13, 18), 10.0),
        (((1, 2), (7, 10)), (-2, -2), 5.0),
        # A quarter of the circle of 10 mm around (5, 5), from the right to the top, and reversed.
        (((15, 5, QUARTER), (5, 15)), (8, 9), 5.0),
        (((15, 5, QUARTER), (5, 15)), (5 + 9, 5 + 12), 5.0),
        (((15, 5, QUARTER), (5, 15)), (5 - 3, 5 + 6), 5.0),
        (((15, 5, QUARTER), (5, 15)), (5 + 6, 5 - 3), 5.0),
        (((5, 15, -QUARTER), (15, 5)), (8, 9), 5.0),
        (((5, 15, -QUARTER), (15, 5)), (5 - 3, 5 + 6), 5.0),
        # The same circle from the right over top and left to the bottom: three quarters.
        (((15, 5, THREE_QUARTERS), (5, -5)), (5 - 6, 5 + 8), 0.0),
        (((15, 5, THREE_QUARTERS), (5, -5)), (5 - 3, 5 - 4), 5.0),
        (((15, 5, THREE_QUARTERS), (5, -5)), (5 + 8, 5 - 6), math.hypot(2, 6)),
        (((5, -5, -THREE_QUARTERS), (15, 5)), (5 + 6, 5 - 8), math.hypot(6, 2)),
    ],
)
def test_distances_from_a_segment(
    ends: tuple[tuple[float, ...], tuple[float, ...]], place: tuple[float, float], wanted: float
) -> None:
    track = track_of(Vertex(*ends[0]), Vertex(*ends[1]))
    assert track.off(Point(*place)) == pytest.approx(wanted, abs=1e-9)
    # With others beside it, some of them past the ends, and alone.
    others = np.array([complex(*place), 1000.0 + 1000.0j, complex(*place)])
    assert track.all_off(others)[[0, 2]] == pytest.approx([wanted] * 2, abs=1e-9)
    assert track.all_off(others[:1]) == pytest.approx([wanted], abs=1e-9)


def test_the_ends_of_a_segment_are_on_it() -> None:
    for start in (Vertex(3.0, 4.0, 0.0), Vertex(3.0, 4.0, 0.7), Vertex(3.0, 4.0, -2.0)):
        track = track_of(start, Vertex(33.0, 14.0))
        assert track.off(Point(3.0, 4.0)) == pytest.approx(0.0, abs=1e-9)
        assert track.off(Point(33.0, 14.0)) == pytest.approx(0.0, abs=1e-9)


#: The circle of 10 mm around (50, 40), as two halves.
CIRCLE = planned((60, 40, 1), (40, 40, 1), closed=True)


def round_circle(
    radius: float, first: float, *, turns: float = 1.0, x: float = 50.0, y: float = 40.0
) -> ReadStroke:
    """Return arcs of an eighth of a turn around (x, y), from a direction in degrees."""

    def at(turn: float) -> Point:
        angle = math.radians(first) + math.tau * turn
        return Point(x + radius * math.cos(angle), y + radius * math.sin(angle))

    count = round(abs(turns) * 8)
    moves = [
        ReadSegment(at(turns * (each + 0.5) / count), at(turns * (each + 1) / count))
        for each in range(count)
    ]
    return ReadStroke(at(0.0), tuple(moves), closed=True, group="")


@pytest.mark.parametrize(
    ("read", "wanted"),
    [
        (round_circle(10.0, 0.0), 0.0),
        (round_circle(10.0, 77.0), 0.0),
        (round_circle(10.0, 77.0, turns=-1.0), 0.0),
        (round_circle(10.03, 10.0), 0.03),
        (round_circle(9.96, 10.0), 0.04),
        (round_circle(10.0, 0.0, x=50.3), 0.3),
        (round_circle(10.0, 0.0, y=39.6), 0.4),
        (round_circle(10.0, 0.0, turns=2.0), FAR),
        (round_circle(10.0, 0.0, turns=0.75), FAR),
        (round_circle(10.0, 0.0, turns=0.5), FAR),
    ],
)
def test_a_circle(read: ReadStroke, wanted: float) -> None:
    assert deviation(read, CIRCLE) == pytest.approx(wanted, abs=1e-9)


def test_a_circle_with_a_gap_is_off_by_the_gap() -> None:
    """The last end is 0.2 mm outside of where the circle began; the radius there is 0.2 too large.

    Turned by 0.02 rad along the circle instead, the gap of 2 * 10 * sin(0.01) mm is what is left.
    """
    read = round_circle(10.0, 0.0)
    out = read.segments[-1]._replace(end=Point(60.2, 40.0))
    assert deviation(replace(read, segments=(*read.segments[:-1], out)), CIRCLE) == pytest.approx(
        0.2
    )
    back = Point(50.0 + 10.0 * math.cos(0.02), 40.0 - 10.0 * math.sin(0.02))
    early = read.segments[-1]._replace(end=back)
    assert deviation(replace(read, segments=(*read.segments[:-1], early)), CIRCLE) == pytest.approx(
        20.0 * math.sin(0.01)
    )


def test_an_open_line_that_returns_looks_closed_up_to_a_twentieth_of_a_millimetre() -> None:
    for gap, wanted in ((0.0, 0.0), (0.04, 0.0), (0.06, FAR)):
        corners = [(0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (gap, 0.0)]
        plan = planned(*corners)
        assert deviation(drawn(*corners, closed=True), plan) == wanted
        assert deviation(drawn(*corners), plan) == 0.0
    # A ring that the file leaves open lacks only its mark, and is still not what was planned.
    ring = planned((0, 0), (30, 0), (30, 20), closed=True)
    assert deviation(drawn((0, 0), (30, 0), (30, 20), (0, 0)), ring) == FAR
    assert deviation(drawn((0, 0), (30, 0), (30, 20), (0, 0), closed=True), ring) == 0.0


def stepped(*corners: tuple[float, float], step: float = 1.0) -> list[tuple[float, float]]:
    """Return the corners of a path with places every ``step`` mm between them."""
    places = [corners[0]]
    for (ax, ay), (bx, by) in itertools.pairwise(corners):
        count = round(math.hypot(bx - ax, by - ay) / step)
        places += [
            (ax + (bx - ax) * each / count, ay + (by - ay) * each / count)
            for each in range(1, count + 1)
        ]
    return places


ELBOW = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0))


def test_many_small_moves_along_an_elbow() -> None:
    """Ten moves on each leg: one of them is moved aside, then the corner."""
    plan, places = planned(*ELBOW), stepped(*ELBOW)
    assert len(places) == 21
    assert deviation(drawn(*places), plan, allowed=0.02) == 0.0
    for at, (dx, dy), wanted in (
        (0, (0.0, 0.3), 0.3),
        (4, (0.0, 0.3), 0.3),
        (4, (0.0, -0.015), 0.015),
        (13, (-0.4, 0.0), 0.4),
        (10, (0.012, 0.005), 0.013),
        (20, (0.0, 0.7), 0.7),
        (20, (0.5, 0.0), 0.5),
    ):
        x, y = places[at]
        moved = [*places[:at], (x + dx, y + dy), *places[at + 1 :]]
        assert deviation(drawn(*moved), plan, allowed=0.02) == pytest.approx(wanted, abs=1e-9)


def test_a_corner_that_is_cut_is_off_by_its_distance() -> None:
    """From (9, 0) to (10, 1): the corner (10, 0) is nearest to the move's middle, (9.5, 0.5)."""
    places = stepped(*ELBOW)
    cut = drawn(*places[:10], *places[11:])
    for allowed in (0.8, 1.1):
        assert deviation(cut, planned(*ELBOW), allowed=allowed) == pytest.approx(math.sqrt(0.5))
    assert deviation(cut, planned(*ELBOW), allowed=0.6) > 0.6


@pytest.mark.parametrize("step", [0.25, 1.0, 10.0])
@pytest.mark.parametrize("allowed", [0.001, 0.02, 0.1])
def test_a_path_that_ends_early_or_goes_on_is_refused(step: float, allowed: float) -> None:
    plan, places = planned(*ELBOW), stepped(*ELBOW, step=step)
    assert deviation(drawn(*places), plan, allowed=allowed) <= 1e-9
    half = len(places) // 2 + 1
    assert deviation(drawn(*places[:half]), plan, allowed=allowed) > 1.0
    assert deviation(drawn(*places[half - 1 :]), plan, allowed=allowed) > 1.0
    assert deviation(drawn(*places, (10.0, 11.0)), plan, allowed=allowed) >= 1.0
    assert deviation(drawn((-1.0, 0.0), *places), plan, allowed=allowed) >= 1.0
    # There and back again: every point is on the plan, and the last one is where it ends.
    again = [*places, *places[-2::-1], *places[1:]]
    assert deviation(drawn(*again), plan, allowed=allowed) > 1.0
    assert deviation(drawn(*places[::-1]), plan, allowed=allowed) > 1.0


def test_steps_of_a_grid_may_merge_moves_that_are_too_short_for_it() -> None:
    """Three planned moves of 0.01 mm are one on a grid of 0.025 mm; moves of 1 mm are not."""
    tiny = planned((0, 0), (10, 0), (10.01, 0), (10.02, 0), (10.02, 10))
    assert deviation(drawn((0, 0), (10.02, 0), (10.02, 10)), tiny, allowed=0.03) <= 0.03
    assert deviation(drawn((0, 0), (10.02, 0), (10.02, 10)), tiny, allowed=0.001) > 0.001
    bump = planned((0, 0), (10, 0), (10, 1), (11, 1), (11, 0), (20, 0))
    assert deviation(drawn((0, 0), (10, 0), (11, 0), (20, 0)), bump, allowed=0.03) >= 1.0 - 1e-9


def test_a_half_circle_in_arcs_of_a_quarter_or_an_eighth_of_a_turn() -> None:
    """Around (0, 0) with 10 mm, counter-clockwise from the right; then one middle on its chord.

    A quarter's middle is 10 (1 - cos 45 degrees) = 2.929 mm off its chord.
    """
    half = planned((10, 0, 1), (-10, 0))

    def read(parts: int, way: float = 1.0) -> ReadStroke:
        turns = [way * math.pi * each / (2 * parts) for each in range(2 * parts + 1)]
        at = [Point(10.0 * math.cos(each), 10.0 * math.sin(each)) for each in turns]
        moves = [ReadSegment(at[each], at[each + 1]) for each in range(1, 2 * parts, 2)]
        return ReadStroke(at[0], tuple(moves), closed=False, group="")

    for parts in (1, 2, 3, 4):
        assert deviation(read(parts), half, allowed=0.001) == pytest.approx(0.0, abs=1e-9)
        assert deviation(read(parts, -1.0), half, allowed=0.001) > 5.0
    flat = read(2)
    first = flat.segments[0]._replace(middle=Point(5.0, 5.0))
    wrong = replace(flat, segments=(first, flat.segments[1]))
    assert deviation(wrong, half, allowed=0.001) == pytest.approx(10.0 - math.sqrt(50.0))


def test_a_ring_may_start_at_any_of_its_corners() -> None:
    corners = [(0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (5.0, 25.0)]
    plan = planned(*corners, closed=True)
    for at in range(4):
        turned = [*corners[at:], *corners[: at + 1]]
        assert deviation(drawn(*turned, closed=True), plan, allowed=0.001) == 0.0
        back = deviation(drawn(*turned[::-1], closed=True), plan, allowed=0.001)
        assert back > 1.0
    # Two corners swapped: a bow tie through the same places.
    bow = [corners[each] for each in (0, 2, 1, 3, 0)]
    assert deviation(drawn(*bow, closed=True), plan, allowed=0.001) > 1.0
