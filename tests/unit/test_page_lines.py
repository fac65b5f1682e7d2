"""Places that lines leave free, and numbers of a page, against other hands and one at a time."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely

from adapters.errors import CannotHoldError
from adapters.numbers import number, numbers_in
from adapters.page_lines import PageLines, go_round
from geometry.model.segments import Bounds

#: Words keep this far from lines, mm.
CLEAR = 0.6


def drawn(count: int) -> list[np.ndarray[tuple[int, int], np.dtype[np.float64]]]:
    """Return rings of different numbers of corners, and a few open lines."""
    rng = random.Random(11)  # noqa: S311 - a drawing, no secret
    ways = []
    for at in range(count):
        corners, x, y = rng.randint(2, 9), rng.uniform(0, 200), rng.uniform(0, 200)
        turns = [math.tau * k / corners for k in range(corners)]
        ring = [(x + 12 * math.cos(t), y + 12 * math.sin(t)) for t in turns]
        ways.append(np.array(ring + ring[:1] * (at % 5 > 0)))
    return ways


def test_places_are_free_where_no_line_meets_them() -> None:
    """shapely: a box that is wider by the clearance meets no line."""
    rng = random.Random(5)  # noqa: S311 - as above
    ways = drawn(90)
    corners = [(rng.uniform(0, 200), rng.uniform(0, 200)) for _ in range(400)]
    boxes = [Bounds(x, y, x + rng.uniform(1, 9), y + 3) for x, y in corners]
    lines = [shapely.LineString(way) for way in ways]
    wanted = [
        not any(
            each.intersects(
                shapely.box(b.left - CLEAR, b.bottom - CLEAR, b.right + CLEAR, b.top + CLEAR)
            )
            for each in lines
        )
        for b in boxes
    ]
    page = PageLines(ways)
    assert page.leave_each_free(boxes).tolist() == wanted
    assert [page.leave_free(box) for box in boxes] == wanted
    assert 20 < sum(wanted) < 380


def test_an_empty_page_is_free_until_something_is_on_it() -> None:
    box = Bounds(10.0, 10.0, 20.0, 13.0)
    page = PageLines([])
    assert page.leave_free(box)
    page.keep_off([])
    assert page.leave_free(box)
    page.keep_off([Bounds(12.0, 11.0, 14.0, 12.0)])
    assert not page.leave_free(box)
    assert page.leave_each_free([]).tolist() == []


def test_outlines_that_go_round_a_place() -> None:
    """shapely says which polygon contains its point."""
    rng = random.Random(7)  # noqa: S311 - as above
    rings = [way for at, way in enumerate(drawn(90)) if at % 5 and len(way) > 3]
    places = np.array([ring[0] + [rng.uniform(-20, 6), rng.uniform(-9, 9)] for ring in rings])
    wanted = [
        shapely.contains_xy(shapely.Polygon(ring), *place)
        for ring, place in zip(rings, places, strict=True)
    ]
    assert go_round(rings, places).tolist() == wanted
    assert 5 < sum(wanted) < len(rings) - 5
    assert go_round([], np.empty((0, 2))).tolist() == []


def test_numbers_in_words_are_those_by_themselves() -> None:
    rng = random.Random(3)  # noqa: S311 - as above
    values = [0.0, -0.0, -4e-6, 4e-6, 100.0, -100.0, 10.5, -0.1, 1e5, 0.00001, 12.340001]
    values += [round(rng.uniform(-999, 999), rng.randint(0, 6)) for _ in range(500)]
    words = "%.5f m " * len(values) + "h S"
    wanted = " ".join(f"{number(value, 5)} m" for value in values) + " h S"
    assert numbers_in(words, values) == wanted


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_not_finite_is_refused(value: float) -> None:
    with pytest.raises(CannotHoldError):
        numbers_in("%.5f %.5f l ", [1.0, value])
