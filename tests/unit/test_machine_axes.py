"""Machine axes by hand: where a place of the bed lies for the machine, and back.

The bed is 100 x 60 mm, and the place is (30, 10).
"""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from adapters.axes import bed_on_machine, negative_coordinates, on_machine, origin_on_bed
from adapters.readers.axes import on_bed
from adapters.readers.strokes import ReadSegment, ReadStroke
from adapters.sample import sample_plan
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point

#: The place as it is seen from each origin, along the bed's own axes.
SEEN = {
    "lower-left": (30, 10),
    "lower-right": (-70, 10),
    "upper-left": (30, -50),
    "upper-right": (-70, -50),
    "centre": (-20, -20),
}
ORIGINS = {
    "lower-left": (0, 0),
    "lower-right": (100, 0),
    "upper-left": (0, 60),
    "upper-right": (100, 60),
    "centre": (50, 30),
}


def seen(origin: str, turn: int, mirror: str) -> tuple[float, float]:
    """Return the place for the machine: turned by 90 degrees, its x axis points up the bed."""
    x, y = SEEN[origin]
    x, y = {0: (x, y), 90: (y, -x), 180: (-x, -y), 270: (-y, x)}[turn]
    return (-x if mirror == "x" else x), (-y if mirror == "y" else y)


def plan(*strokes: Stroke) -> CutPlan:
    return replace(sample_plan(), bed_width=100.0, bed_height=60.0, strokes=strokes, stops=())


CASES = [
    pytest.param(*each, id="-".join(map(str, each)))
    for each in itertools.product(SEEN, (0, 90, 180, 270), ("none", "x", "y"))
]


@pytest.mark.parametrize(("origin", "turn", "mirror"), CASES)
def test_there_and_back(origin: str, turn: int, mirror: str) -> None:
    values = {"origin": origin, "turn_deg": turn, "mirror": mirror}
    bent = Stroke("cut", (Vertex(30.0, 10.0, 0.5), Vertex(30.0, 40.0)), closed=False)
    (moved,) = on_machine(plan(bent), values).strokes
    found = moved.vertices[0]
    assert (found.x, found.y) == pytest.approx(seen(origin, turn, mirror), abs=1e-12)
    # In a mirror an arc lies on the other side of its chord.
    assert found.bulge == (0.5 if mirror == "none" else -0.5)
    place = Point(*map(float, seen(origin, turn, mirror)))
    stroke = ReadStroke(place, (ReadSegment(place, place),), True, "cut", (("power", 5.0),))
    (back,) = on_bed([stroke], origin, turn, mirror, (100.0, 60.0))
    for each in (back.start, back.segments[0].middle, back.segments[0].end):
        assert each == pytest.approx((30, 10), abs=1e-12)
    assert (back.closed, back.group, back.work) == (True, "cut", (("power", 5.0),))
    assert origin_on_bed(plan(), values) == ORIGINS[origin]


def test_the_bed_for_the_machine() -> None:
    """From the centre and turned by 90 degrees, x is from -30 to 30 and y from -50 to 50."""
    values = {"origin": "centre", "turn_deg": 90, "mirror": "none"}
    assert bed_on_machine(plan(), values) == pytest.approx((-30, -50, 30, 50))
    corner = {"origin": "upper-right", "turn_deg": 0, "mirror": "x"}
    assert bed_on_machine(plan(), corner) == pytest.approx((0, -60, 100, 0))


AXES = {"origin": "lower-left", "turn_deg": 0, "mirror": "none"}


def line(*places: tuple[float, float]) -> Stroke:
    return Stroke("cut", tuple(Vertex(*each) for each in places), closed=False)


@pytest.mark.parametrize(
    ("strokes", "words"),
    [
        ((line((0, 0), (5, 5)),), ""),
        ((line((-0.00005, 0), (5, 5)),), ""),
        ((line((-1.5, 3), (5, 5)),), "down to x = -1.5 mm."),
        ((line((3, 4), (5, -2.25)), line((1, 1), (2, 2))), "down to y = -2.25 mm."),
        ((line((3, -4), (5, 5)), line((-7, 1), (2, -2))), "down to x = -7 mm and y = -4 mm."),
        # Half a circle below (10, 2) to (20, 2), of 5 mm radius: down to -3.
        ((Stroke("cut", (Vertex(10, 2, 1.0), Vertex(20, 2)), closed=False),), "to y = -3 mm."),
        # The same above: nothing is negative.
        ((Stroke("cut", (Vertex(10, 2, -1.0), Vertex(20, 2)), closed=False),), ""),
        # Upwards along x = 2 its arc lies on the right, downwards on the left: down to -3.
        ((Stroke("cut", (Vertex(2, 10, 1.0), Vertex(2, 20)), closed=False),), ""),
        ((Stroke("cut", (Vertex(2, 20, 1.0), Vertex(2, 10)), closed=False),), "to x = -3 mm."),
        # More than half a circle: radius 5 around (10, 2), from (13, -2) over the top, is above -3.
        ((Stroke("cut", (Vertex(13, 3, 3.0), Vertex(7, 3)), closed=False),), ""),
        ((Stroke("cut", (Vertex(7, 3, 3.0), Vertex(13, 3)), closed=False),), "to y = -6 mm."),
        # Though its chord is higher than it is long.
        ((Stroke("cut", (Vertex(7, 8, 3.0), Vertex(13, 8)), closed=False),), "to y = -1 mm."),
    ],
)
def test_negative_coordinates_are_stated(strokes: tuple[Stroke, ...], words: str) -> None:
    """A bulge of 3 over 6 mm is a sagitta of 9 mm, below or above the chord at y = 3."""
    said = list(negative_coordinates("HP-GL", plan(*strokes), AXES))
    assert len(said) == bool(words)
    assert words in "".join(said)


def test_the_origin_that_avoids_negative_coordinates() -> None:
    """From the upper right corner all is negative; from the lower left one nothing is."""
    values = {**AXES, "origin": "upper-right"}
    drawn = on_machine(plan(line((30, 10), (40, 20))), values)
    (said,) = negative_coordinates("HP-GL", drawn, values)
    assert said == (
        "HP-GL has negative coordinates, down to x = -70 mm and y = -50 mm. If your machine "
        "accepts none, set its origin to lower-left."
    )
    turned = {**values, "turn_deg": 180, "origin": "lower-left"}
    drawn = on_machine(plan(line((30, 10), (40, 20))), turned)
    (said,) = negative_coordinates("HP-GL", drawn, turned)
    assert said.endswith("set its origin to upper-right.")
