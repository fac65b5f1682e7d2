"""Strokes over the edges of a PDF's pages: every part of a line or an arc must be on some page.

Ends and middles of the arcs are calculated by hand from centre, radius and angles.
"""

from __future__ import annotations

import itertools
import math

import pytest

from adapters.readers.pdf_windows import Window, is_shown
from adapters.readers.strokes import ReadSegment, ReadStroke
from geometry.model.points import Point

LEFT: Window = (0.0, 0.0, 100.0, 200.0)
#: Beside the lower half of the left page.
LOWER: Window = (100.0, 0.0, 200.0, 100.0)
UPPER: Window = (100.0, 100.0, 200.0, 200.0)


def arc(centre: tuple[float, float], radius: float, first: float, last: float) -> ReadStroke:
    """Return an arc between two directions, degrees."""

    def at(angle: float) -> Point:
        turn = math.radians(angle)
        return Point(centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn))

    move = ReadSegment(at((first + last) / 2.0), at(last))
    return ReadStroke(at(first), (move,), closed=False, group="cut")


def line(*points: tuple[float, float]) -> ReadStroke:
    places = [Point(*each) for each in points]
    moves = [
        ReadSegment(Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0), b)
        for a, b in itertools.pairwise(places)
    ]
    return ReadStroke(places[0], tuple(moves), closed=False, group="cut")


#: Ends at x = 60 and 99.73 and the middle at x = 98.57 lie on the left page; its right end, at
#: x = 60 + 45 = 105, does not.
OVER_THE_EDGE = arc((60.0, 50.0), 45.0, -90.0, 28.0)


@pytest.mark.parametrize("is_turned_round", [False, True])
def test_an_arc_that_leaves_the_page_between_its_ends(is_turned_round: bool) -> None:
    stroke = arc((60.0, 50.0), 45.0, 28.0, -90.0) if is_turned_round else OVER_THE_EDGE
    assert max(stroke.start.x, stroke.segments[0].middle.x, stroke.segments[0].end.x) < 100.0
    assert not is_shown(stroke, [LEFT])
    assert not is_shown(stroke, [LEFT, UPPER])
    assert is_shown(stroke, [LEFT, LOWER])
    assert is_shown(stroke, [LOWER, LEFT])


def test_an_arc_that_keeps_to_the_page() -> None:
    """The same arc of 39 mm radius reaches x = 99; one that touches the edge stays on the page."""
    assert is_shown(arc((60.0, 50.0), 39.0, -90.0, 28.0), [LEFT])
    assert is_shown(arc((60.0, 50.0), 40.0, -90.0, 28.0), [LEFT])
    assert not is_shown(arc((60.0, 50.0), 40.1, -90.0, 28.0), [LEFT])


def test_an_arc_round_the_corner_of_a_missing_page() -> None:
    """Round (150, 150): with 75 mm it passes (97, 97) and (100, 94), with 69 mm (101.2, 101.2)."""
    assert is_shown(arc((150.0, 150.0), 75.0, 200.0, 250.0), [LEFT, LOWER])
    assert not is_shown(arc((150.0, 150.0), 69.0, 200.0, 250.0), [LEFT, LOWER])
    assert is_shown(arc((150.0, 150.0), 69.0, 200.0, 250.0), [LEFT, LOWER, UPPER])


def test_a_line_over_the_corner_of_a_missing_page() -> None:
    """From (100, 102) to (102, 100), 2.8 mm of it are on the missing page."""
    assert not is_shown(line((20.0, 182.0), (182.0, 20.0)), [LEFT, LOWER])
    assert is_shown(line((20.0, 179.0), (182.0, 17.0)), [LEFT, LOWER])
    assert is_shown(line((20.0, 20.0), (180.0, 20.0), (180.0, 90.0)), [LEFT, LOWER])
    assert not is_shown(line((20.0, 20.0), (180.0, 20.0), (180.0, 110.0)), [LEFT, LOWER])


def test_an_arc_that_is_nearly_straight() -> None:
    """0.0002 mm of bend over 80 mm: a radius of 4,000 km."""
    bent = ReadStroke(
        Point(60.0, 20.0), (ReadSegment(Point(100.0, 20.0002), Point(140.0, 20.0)),), False, "cut"
    )
    assert is_shown(bent, [LEFT, LOWER])
    assert not is_shown(bent, [LEFT, UPPER])


def test_the_edges_of_a_window_and_what_lies_beyond_them() -> None:
    """A thousandth of a millimetre is rounding; of a part beyond, its middle counts."""
    for beyond, is_near in ((0.0, True), (0.0009, True), (0.003, False)):
        for across, up in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            x, y = 50.0 + across * (50.0 + beyond), 100.0 + up * (100.0 + beyond)
            stroke = line((50.0, 100.0), (x, y))
            assert is_shown(stroke, [LEFT]) == is_near
            assert is_shown(stroke, [LEFT, LOWER]) == (is_near or (across, up) == (1, 0))


#: By direction in degrees: a window whose edge on that side is 20 mm from (50, 50), 30 mm or more
#: wide across it; and the one beside it.
SIDES: dict[int, tuple[Window, Window]] = {
    0: ((30.0, 20.0, 70.0, 80.0), (70.0, 0.0, 90.0, 100.0)),
    90: ((20.0, 30.0, 80.0, 70.0), (0.0, 70.0, 100.0, 90.0)),
    180: ((30.0, 20.0, 70.0, 80.0), (10.0, 0.0, 30.0, 100.0)),
    270: ((20.0, 30.0, 80.0, 70.0), (0.0, 10.0, 100.0, 30.0)),
}


@pytest.mark.parametrize("is_turned_round", [False, True])
@pytest.mark.parametrize("side", SIDES)
def test_an_arc_that_leaves_the_page_on_each_side(side: int, is_turned_round: bool) -> None:
    """Round (50, 50) with 30 mm, to 60 degrees on both sides of a direction.

    Its ends are 15 mm from the centre in that direction, its middle 30 mm.
    """
    first, last = (60, -60) if is_turned_round else (-60, 60)
    stroke = arc((50.0, 50.0), 30.0, side + first, side + last)
    window, beside = SIDES[side]
    opposite = SIDES[(side + 180) % 360][1]
    assert is_shown(stroke, [window, beside])
    assert not is_shown(stroke, [window])
    assert not is_shown(stroke, [window, opposite])
    assert not is_shown(stroke, [beside])
    for end in (first, last):
        half = arc((50.0, 50.0), 30.0, side + end, side)
        for each in (half, arc((50.0, 50.0), 30.0, side, side + end)):
            assert is_shown(each, [window, beside])
            assert not is_shown(each, [window])
            assert not is_shown(each, [beside])


@pytest.mark.parametrize(
    ("side", "window"),
    [
        (0, (-900.0, -900.0, 92.0, 900.0)),
        (90, (-900.0, -900.0, 900.0, 92.0)),
        (180, (8.0, -900.0, 900.0, 900.0)),
        (270, (-900.0, 8.0, 900.0, 900.0)),
    ],
)
def test_an_arc_of_which_neither_the_ends_nor_the_middle_leave_the_page(
    side: int, window: Window
) -> None:
    """Round (50, 50) with 45 mm from 90 degrees before a side to 28 behind it.

    That way it reaches 45 mm, its end 39.7 and its middle 38.6, and the edge is at 42; with 41 mm
    it stays on the page.
    """
    assert not is_shown(arc((50.0, 50.0), 45.0, side - 90, side + 28), [window])
    assert is_shown(arc((50.0, 50.0), 41.0, side - 90, side + 28), [window])
