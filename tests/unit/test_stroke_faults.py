"""Messages about wrong files state the stroke, the place and a deviation that is possible there."""

from __future__ import annotations

import itertools
import math
import re
import sys
from collections.abc import Callable
from dataclasses import replace

import pytest
from shapely import LineString
from shapely import Point as Pin

from adapters.nearest_places import NearestPlaces
from adapters.path_deviation import deviation
from adapters.readers.strokes import ReadSegment, ReadStroke, straight
from adapters.sample import sample_plan
from adapters.split import chords
from adapters.stroke_faults import fault_of, path_fault
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point, distance

ALLOWED = 0.02


def by_segments(stroke: Stroke) -> ReadStroke:
    moves = tuple(ReadSegment(each.point_at(0.5), each.end) for each in stroke.segments)
    return ReadStroke(stroke.vertices[0].point, moves, stroke.closed, "")


def by_chords(stroke: Stroke) -> ReadStroke:
    return straight(chords(stroke, 0.005), closed=stroke.closed, group="")


def scaled(plan: CutPlan, factor: float) -> CutPlan:
    return plan.with_vertices(lambda v: Vertex(v.x * factor, v.y * factor, v.bulge))


@pytest.mark.parametrize("read", [by_segments, by_chords])
def test_a_scale_is_off_by_no_more_than_it_moves_points(
    read: Callable[[Stroke], ReadStroke],
) -> None:
    """A point at distance d of the origin moves by 0.002 d; none is farther than the bed's corner.

    The flag's farthest corner is (90, 52), where hypot(90, 52) * 0.002 = 0.208 mm; a segment that
    is left early would be 25 mm away from its stroke's last point. Chords add 0.005 + 0.01 mm.
    """
    plan = sample_plan()
    found = [read(stroke) for stroke in scaled(plan, 1.002).strokes]
    for index, (each, stroke) in enumerate(zip(found, plan.strokes, strict=True)):
        far = max(math.hypot(v.x, v.y) for v in stroke.vertices) * 0.002
        fault = fault_of(
            [*map(read, plan.strokes[:index]), each, *map(read, plan.strokes[index + 1 :])],
            plan,
            ALLOWED,
        )
        number = re.search(r"off the plan by (\d+\.\d+) mm", fault)
        assert number, fault
        assert ALLOWED < float(number[1]) <= far + 0.015
        assert f"stroke {index + 1} of 6" in fault
    assert deviation(by_segments(scaled(plan, 1.002).strokes[3]), plan.strokes[3]) <= 0.21


def test_the_place_is_where_it_is_farthest_off() -> None:
    """Vertex (82, 60) of the flag is moved by 3 in x and 4 in y: 5 mm."""
    plan = sample_plan()
    flag = plan.strokes[3]
    moved = tuple(
        v._replace(x=v.x + 3.0, y=v.y + 4.0) if (v.x, v.y) == (82.0, 60.0) else v
        for v in flag.vertices
    )
    found = [by_segments(stroke) for stroke in plan.strokes]
    found[3] = by_segments(Stroke("cut", moved, closed=True))
    assert fault_of(found, plan, ALLOWED) == (
        "stroke 4 of 6 (cut, closed, piece flag) is off the plan by 5.0000 mm, and 0.0200 mm are "
        "allowed: expected (82.0000, 60.0000), found (85.0000, 64.0000) mm"
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda found: found[:-1], "the plan has 6 strokes, the file has 5"),
        (
            lambda found: [*found[:3], replace(found[3], closed=False), *found[4:]],
            "is closed in the plan and open in the file",
        ),
        (
            lambda found: [
                replace(found[0], start=found[0].start._replace(x=math.nan)),
                *found[1:],
            ],
            "not numbers",
        ),
    ],
)
def test_what_is_no_distance_is_said_in_words(
    change: Callable[[list[ReadStroke]], list[ReadStroke]], words: str
) -> None:
    plan = sample_plan()
    assert words in fault_of(change([by_segments(each) for each in plan.strokes]), plan, ALLOWED)


def test_a_right_file_has_no_fault() -> None:
    plan = sample_plan()
    for read in (by_segments, by_chords):
        assert fault_of([read(each) for each in plan.strokes], plan, ALLOWED) == ""


def test_chords_drawn_backwards_have_another_order() -> None:
    plan = sample_plan()
    found = [by_chords(each) for each in plan.strokes]
    path = chords(plan.strokes[3], 0.005)
    found[3] = straight(path[::-1], closed=True, group="")
    words = "in another order or direction than planned, or lacks some"
    assert fault_of(found, plan, ALLOWED).endswith(words)


def test_a_moved_end_of_an_arc_is_found_where_it_is() -> None:
    """An arc's start is moved by 0.01 mm: expected and found are 0.01 mm apart, not an arc."""
    plan = sample_plan()
    arc = Stroke("cut", (Vertex(20.0, 20.0, 0.4), Vertex(50.0, 20.0)), closed=False)
    moved = replace(arc, vertices=(Vertex(20.01, 20.0, 0.4), Vertex(50.0, 20.0)))
    fault = fault_of([by_segments(moved)], replace(plan, strokes=(arc,), stops=()), 0.002)
    assert fault.endswith("expected (20.0000, 20.0000), found (20.0100, 20.0000) mm")


@pytest.mark.parametrize("bulge", [0.0, 1e-12, 0.3, -0.3, 1.0, -1.0, 4.0])
def test_nearest_places_are_those_of_shapely(bulge: float) -> None:
    """Against shapely's distance from 5,000 chords of each arc, which are off it by under 1e-4."""
    ends = (Vertex(10.0, 20.0, bulge), Vertex(40.0, 35.0))
    stroke = Stroke("cut", ends, closed=False)
    path = NearestPlaces.of_segments(stroke.segments)
    drawn = NearestPlaces.of_read(by_segments(stroke))
    dense = LineString([stroke.segments[0].point_at(each / 5000) for each in range(5001)])
    for x, y in itertools.product(range(-40, 100, 7), range(-40, 100, 9)):
        place = Point(float(x), float(y))
        for each in (path, drawn):
            found = each.of(place)
            assert distance(found, place) == pytest.approx(dense.distance(Pin(place)), abs=1e-4)
            assert dense.distance(Pin(found)) < 1e-4


def test_a_fault_is_found_in_bounded_work() -> None:
    """However exact a format is: chords within a quarter of 1e-9 mm of an arc would be millions.

    All vertices but the last are right, and one point is left out, so the counts differ.
    """
    plan = sample_plan()
    wrong = by_segments(plan.strokes[3])
    wrong = replace(wrong, segments=(*wrong.segments[:2], *wrong.segments[3:]))
    far = replace(wrong, segments=(*wrong.segments, ReadSegment(Point(1e9, 9e8), Point(9e9, 1e5))))
    calls = 0

    def count(frame: object, event: str, arg: object) -> None:
        nonlocal calls
        del frame, arg
        calls += event == "call"

    for read in (wrong, far):
        sys.setprofile(count)
        try:
            said = path_fault(read, plan.strokes[3], math.inf, 1e-9)
        finally:
            sys.setprofile(None)
        assert "is off the plan by" in said
        assert calls < 20_000


@pytest.mark.parametrize("count", [1, 249, 300])
def test_a_bend_in_the_middle_of_a_line_is_found(count: int) -> None:
    """Lines of 4 mm, of which one is read as an arc that leaves it by 2 mm in its middle.

    Of more than 500 places some are left out, so that all lines of a long one are bent.
    """
    corners = [Vertex(4.0 * at, 0.0) for at in range(count + 1)]
    stroke = Stroke("cut", tuple(corners), closed=False)
    moves = [
        ReadSegment(Point(4.0 * at + 2.0, 0.0), Point(4.0 * at + 4.0, 0.0)) for at in range(count)
    ]
    if count > 249:
        moves = [move._replace(middle=move.middle._replace(y=2.0)) for move in moves]
    else:
        moves[count // 2] = moves[count // 2]._replace(middle=Point(4.0 * (count // 2) + 2.0, 2.0))
    read = ReadStroke(Point(0.0, 0.0), tuple(moves), False, "cut")
    found = path_fault(read, stroke, 2.0, ALLOWED)
    off = re.match(
        r"is off the plan by (\d\.\d{4}) mm, and 0\.0200 mm are allowed: expected", found
    )
    assert off is not None
    if count > 249:
        assert 1.0 < float(off[1]) <= 2.0
    else:
        assert off[1] == "2.0000"
        assert found.endswith(", 2.0000) mm")
