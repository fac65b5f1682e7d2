"""Ways of the raised tool over what a bed keeps free, by places that are known by hand.

A post stands from (40, 40) to (60, 60) on a bed of 100 x 100 mm.
"""

from __future__ import annotations

import pytest

from adapters.crossings import crossing_notice, first_crossing, is_within
from adapters.frame import crosses_frame
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline, Vertex
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point

BED = WorkArea.rectangle(0.0, 0.0, 100.0, 100.0)
SQUARE = [(40, 40), (60, 40), (60, 60), (40, 60)]
POST = WorkArea(BED.boundary, (Outline.of(SQUARE),))
DISC = WorkArea(BED.boundary, (Outline.of([(40, 50, 1), (60, 50, 1)]),))
#: What is between x = 40 and 60 above y = 50 is frame.
NOTCH = [(0, 0), (100, 0), (100, 100), (60, 100), (60, 50), (40, 50), (40, 100), (0, 100)]

Place = tuple[float, float]


def way(start: Place, end: Place, *, closed: bool = False) -> tuple[Stroke, Stroke]:
    """Return two strokes with a way from one place to another between them."""
    (sx, sy), (ex, ey) = start, end
    # An open stroke ends in its last vertex, a ring where it began.
    before = [Vertex(sx, sy), Vertex(sx + 1, sy + 1), Vertex(sx, sy + 2)]
    first = Stroke("cut", tuple(before if closed else before[::-1]), closed=closed)
    return first, Stroke("cut", (Vertex(ex, ey), Vertex(ex + 1, ey)), closed=False)


def plan(area: WorkArea, *strokes: Stroke) -> CutPlan:
    return CutPlan("Post", 100.0, 100.0, area, strokes)


WAYS: list[tuple[Place, Place, bool]] = [
    ((10, 50), (90, 50), True), ((90, 50), (10, 50), True),
    ((50, 10), (50, 90), True), ((50, 90), (50, 10), True),
    ((30, 30), (70, 70), True), ((70, 30), (30, 70), True),
    # Over each corner; over the first one also 1 mm from it, and through the corner itself.
    ((30, 45), (60, 75), True), ((30, 49), (51, 70), True), ((30, 50), (50, 70), False),
    ((30, 55), (55, 30), True), ((50, 35), (70, 55), True), ((70, 45), (45, 70), True),
    # Along a side, deeper than 0.1 mm and less.
    ((10, 40), (90, 40), False), ((10, 40.05), (90, 40.05), False), ((10, 40.2), (90, 40.2), True),
    ((10, 60), (90, 60), False), ((10, 59.8), (90, 59.8), True), ((10, 59.95), (90, 59.95), False),
    ((40, 10), (40, 90), False), ((40.2, 10), (40.2, 90), True), ((60, 10), (60, 90), False),
    ((59.8, 10), (59.8, 90), True),
    # Beside it on each side, and short of it.
    ((10, 30), (90, 30), False), ((10, 70), (90, 70), False), ((30, 10), (30, 90), False),
    ((70, 10), (70, 90), False), ((10, 50), (39, 50), False), ((61, 50), (90, 50), False),
    ((50, 10), (50, 39), False), ((50, 61), (50, 90), False),
    # Around a corner of its box.
    ((30, 65), (45, 70), False), ((10, 75), (75, 61), False),
    # Within it from the start, to the end, and throughout.
    ((50, 50), (90, 50), True), ((50, 10), (50, 50), True), ((45, 45), (55, 55), True),
    # Hardly a way.
    ((50, 50), (50.05, 50), False), ((50, 50), (50.3, 50), True),
]  # fmt: skip


@pytest.mark.parametrize("closed", [False, True])
@pytest.mark.parametrize(("start", "end", "crosses"), WAYS)
def test_ways_over_a_post(start: Place, end: Place, *, crosses: bool, closed: bool) -> None:
    strokes = way(start, end, closed=closed)
    assert first_crossing(plan(POST, *strokes)) == ((1, True) if crosses else None)


@pytest.mark.parametrize("at", range(4))
def test_where_its_outline_begins_and_its_direction_do_not_matter(at: int) -> None:
    ring = [*SQUARE[at:], *SQUARE[:at]]
    for post in (ring, ring[::-1]):
        area = WorkArea(BED.boundary, (Outline.of(post),))
        for start, end, crosses in WAYS:
            found = first_crossing(plan(area, *way(start, end)))
            assert found == ((1, True) if crosses else None)


def test_the_second_place_that_is_kept_free_counts_too() -> None:
    other = Outline.of([(80, 10), (90, 10), (90, 20), (80, 20)])
    area = WorkArea(BED.boundary, (*POST.keep_outs, other))
    assert first_crossing(plan(area, *way((70, 15), (95, 15)))) == (1, True)
    assert first_crossing(plan(area, *way((70, 25), (95, 25)))) is None


def test_a_round_post_is_round() -> None:
    """A disc of 10 mm around (50, 50): a diagonal past it is x + y = 100 + sqrt(2) times 10."""
    for far, crosses in ((14.0, True), (14.3, False)):
        found = first_crossing(plan(DISC, *way((50 + far, 50), (50, 50 + far))))
        assert found == ((1, True) if crosses else None)


def test_a_post_on_its_corner() -> None:
    """Its corners are 20 mm from (50, 50), so its lower right side is y = x - 20.

    The first way runs 0.05 mm within that side, the second 0.2 mm. The third meets the post's box
    and points at the post, but ends at (38, 40), 12 + 10 mm from its centre.
    """
    area = WorkArea(BED.boundary, (Outline.of([(50, 30), (70, 50), (50, 70), (30, 50)]),))
    for start, end, crosses in (
        ((45.0, 25.07), (75.0, 55.07), False),
        ((45.0, 25.28), (75.0, 55.28), True),
        ((25.0, 30.0), (38.0, 40.0), False),
    ):
        assert first_crossing(plan(area, *way(start, end))) == ((1, True) if crosses else None)


@pytest.mark.parametrize(
    ("start", "end", "crosses"),
    [
        ((20, 80), (80, 80), True), ((80, 80), (20, 80), True), ((20, 80), (80, 40), True),
        ((20, 40), (80, 40), False), ((20, 50), (80, 50), False), ((20, 49), (80, 49), False),
        ((20, 50.3), (80, 50.3), True), ((38, 40), (20, 90), False), ((20, 90), (20, 10), False),
        # Along the outer border, and out over it.
        ((0, 10), (0, 90), False), ((20, 10), (20, -5), True), ((90, 10), (110, 10), True),
    ],
)  # fmt: skip
@pytest.mark.parametrize("at", [0, 3, 7])
def test_ways_over_the_frame_of_a_hollow_opening(
    start: Place, end: Place, at: int, *, crosses: bool
) -> None:
    strokes = way(start, end)
    for ring in (NOTCH, NOTCH[::-1]):
        area = WorkArea(Outline.of([*ring[at:], *ring[:at]]))
        assert first_crossing(plan(area, *strokes)) == ((1, False) if crosses else None)
    # A roll has no frame on its right.
    assert first_crossing(plan(WorkArea(Outline.of(NOTCH), open_right=True), *strokes)) is None


def test_the_number_of_strokes_before_the_first_crossing() -> None:
    row = (*way((10, 10), (20, 10)), *way((10, 50), (90, 50)), *way((10, 50), (90, 50)))
    assert first_crossing(plan(POST, *row)) == (3, True)
    (said,) = crossing_notice(plan(POST, *row), lift="5 mm")
    assert said == (
        "Between cuts the raised tool crosses a place that the bed keeps free, first after stroke "
        "3 of the file. Make sure that it passes above what is there (it travels at 5 mm)."
    )
    (over,) = crossing_notice(plan(WorkArea(Outline.of(NOTCH)), *way((20, 80), (80, 80))))
    assert over == (
        "Between cuts the raised tool crosses the frame of the opening, first after stroke 1 of "
        "the file. Make sure that it passes above what is there."
    )
    assert crossing_notice(plan(POST, *row[:2])) == ()
    assert first_crossing(plan(POST)) is None
    assert first_crossing(plan(POST, row[0])) is None


@pytest.mark.parametrize("ring", [SQUARE, SQUARE[::-1], NOTCH, NOTCH[::-1]])
def test_places_within_a_ring(ring: list[Place]) -> None:
    points = [Point(*map(float, each)) for each in ring]
    is_notch = len(ring) == len(NOTCH)
    assert is_within(points, Point(50, 45))
    assert is_within(points, Point(50, 55)) == (not is_notch)
    assert is_within(points, Point(20, 90)) == is_notch
    assert is_within(points, Point(20, 50)) == is_notch
    for place in ((-5, 45), (105, 45), (50, -5), (50, 105), (20, 101)):
        assert not is_within(points, Point(*map(float, place)))


@pytest.mark.parametrize(
    ("area", "first", "last", "origin", "crosses"),
    [
        (POST, (10, 10), (90, 10), "lower-left", False),
        (POST, (10, 10), (90, 90), "lower-left", True),
        (POST, (90, 90), (10, 10), "lower-left", True),
        (POST, (90, 90), (90, 10), "upper-right", False),
        (BED, (90, 90), (10, 10), "lower-left", False),
        (WorkArea(Outline.of(NOTCH)), (20, 90), (30, 90), "lower-left", False),
        (WorkArea(Outline.of(NOTCH)), (20, 90), (80, 90), "upper-right", True),
        (WorkArea(Outline.of(NOTCH)), (80, 90), (20, 90), "upper-right", True),
        (WorkArea(Outline.of(NOTCH), open_right=True), (80, 90), (20, 90), "upper-right", False),
    ],
)
def test_the_way_from_the_origin_and_back(
    area: WorkArea, first: Place, last: Place, origin: str, *, crosses: bool
) -> None:
    x, y = last
    strokes = (
        Stroke("cut", (Vertex(*first), Vertex(first[0] + 1, first[1])), closed=False),
        Stroke("cut", (Vertex(x + 1, y), Vertex(x, y)), closed=False),
    )
    axes = {"origin": origin, "turn_deg": 0, "mirror": "none"}
    assert crosses_frame(plan(area, *strokes), axes) == crosses
    assert not crosses_frame(plan(area), axes)


@pytest.mark.parametrize(
    ("low", "high", "crosses"),
    [
        # Of the way from (0, 0) to (50, 50) every hundredth is looked at: (0.5, 0.5) is the first,
        # (49.5, 49.5) the last. Its ends are where the tool stands and where it cuts.
        (0.4, 0.6, True),
        (49.4, 49.6, True),
        (24.9, 25.1, True),
        (-0.1, 0.1, False),
        (49.9, 50.1, False),
    ],
)
def test_the_places_of_a_way_that_are_looked_at(low: float, high: float, *, crosses: bool) -> None:
    ring = [(low, low), (high, low), (high, high), (low, high)]
    area = WorkArea(BED.boundary, (Outline.of(ring),))
    stroke = Stroke("cut", (Vertex(50, 50), Vertex(50, 60), Vertex(50, 50)), closed=False)
    axes = {"origin": "lower-left", "turn_deg": 0, "mirror": "none"}
    assert crosses_frame(plan(area, stroke), axes) == crosses
