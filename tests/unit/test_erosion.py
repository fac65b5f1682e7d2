"""Openings eroded by a head, keep-outs grown by it: right within 0.01 mm and on the safe side."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from geometry.erosion import Head, disc, eroded, grown
from geometry.measure import area, flattened
from geometry.model.cutter import Margins
from geometry.model.outline import Outline

CIRCLE = Outline.of([(200, 100, 1), (0, 100, 1)])
SQUARE = Outline.of([(0, 0), (100, 0), (100, 100), (0, 100)])
L_SHAPE = Outline.of([(0, 0), (180, 0), (180, 60), (90, 60), (90, 140), (0, 140)])
UNEQUAL = Margins(left=4, right=11, top=7, bottom=16)


def rim(reach: Margins, head: Head) -> np.ndarray:
    t = np.linspace(0.0, math.tau, 360, endpoint=False)
    x, y = np.cos(t), np.sin(t)
    if head == "rectangle":
        most = np.maximum(np.abs(x), np.abs(y))
        x, y = x / most, y / most
    return np.column_stack(
        [x * np.where(x > 0, reach.right, reach.left), y * np.where(y > 0, reach.top, reach.bottom)]
    )


def test_a_disc_in_a_circle_leaves_a_circle() -> None:
    """Radius 100 less 10: a circle of radius 90 about the same middle (closed form)."""
    (left,) = eroded(CIRCLE, disc(10))
    away = [math.hypot(v.x - 100, v.y - 100) for v in left.vertices]
    assert max(away) <= 90 + 1e-9
    ring = shapely.LinearRing([(v.x, v.y) for v in left.vertices])
    assert shapely.distance(ring, shapely.Point(100, 100)) >= 90 - 0.01


@pytest.mark.parametrize("head", ["round", "rectangle"])
@pytest.mark.parametrize("opening", [CIRCLE, SQUARE, L_SHAPE], ids=["circle", "square", "l"])
def test_the_head_touches_but_never_crosses(opening: Outline, head: Head) -> None:
    """At every vertex, and midway between them, the head lies inside to 0.0002 mm and within
    0.01 mm of the opening's edge: the region is neither too large nor too small."""
    whole = shapely.Polygon(flattened(opening, 1e-4))
    (left,) = eroded(opening, UNEQUAL, head)
    ring = np.array([(v.x, v.y) for v in left.vertices])
    places = np.concatenate([ring, (ring + np.roll(ring, -1, axis=0)) / 2])
    body = rim(UNEQUAL, head)
    shapely.prepare(whole)
    # A few are enough of a ring of hundreds, all of one of a few.
    for place in places[:: 1 + len(places) // 80]:
        head_there = shapely.LinearRing(place + body)
        assert shapely.distance(whole, shapely.points(place + body)).max() <= 2e-4
        assert shapely.distance(whole.exterior, head_there) <= 0.01


def test_a_rectangle_loses_its_margins_either_way() -> None:
    for head in ("round", "rectangle"):
        (left,) = eroded(SQUARE, UNEQUAL, head)
        assert left.bounds == pytest.approx((4, 16, 89, 93))
        assert area(left) == pytest.approx(85 * 77)


@pytest.mark.parametrize("head", ["round", "rectangle"])
def test_keep_outs_grow_by_the_head_turned_round(head: Head) -> None:
    """A head that reaches 11 mm to its right comes no nearer than 11 mm from the left, and 4 mm
    from the right, of a square from 40 to 60."""
    square = Outline.of([(40, 40), (60, 40), (60, 60), (40, 60)])
    found = grown(square, UNEQUAL, head)
    assert found.bounds == pytest.approx((29, 33, 64, 76), abs=0.01)
    box = shapely.box(40, 40, 60, 60)
    # On the grown edge the head only touches.
    for vertex in found.vertices:
        body = shapely.Polygon(rim(UNEQUAL, head) + np.array([vertex.x, vertex.y]))
        assert shapely.intersection(body, box).area < 0.01
        assert shapely.distance(body, box) <= 0.01


def test_a_neck_narrower_than_the_head_parts_the_opening() -> None:
    """A disc of radius 5 before a neck 8 mm high rests on its corners: its middle is
    sqrt(5^2 - 4^2) = 3 mm before the mouth."""
    dumbbell = Outline.of(
        [
            (0, 0),
            (50, 0),
            (50, 20),
            (70, 20),
            (70, 0),
            (110, 0),
            (110, 50),
            (70, 50),
            (70, 28),
            (50, 28),
            (50, 50),
            (0, 50),
        ]
    )
    first, second = eroded(dumbbell, disc(5))
    assert first.bounds.right == pytest.approx(47, abs=0.01)
    assert second.bounds.left == pytest.approx(73, abs=0.01)
    assert eroded(SQUARE, disc(50.1)) == ()


def test_hollow_arcs_are_refused() -> None:
    with pytest.raises(ValueError, match="outwards"):
        eroded(Outline.of([(0, 0, -0.2), (10, 0), (10, 10)]), disc(1))
