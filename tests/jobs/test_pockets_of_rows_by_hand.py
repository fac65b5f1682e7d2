"""Large pieces in rows with small ones in the pockets between them, as a person lays them.

An octagon of side s is w = (1 + sqrt 2) s across. Four of them in straight rows leave a square of
side s on point; two and the side of the strip leave a half-square triangle whose legs are s. Four
circles of diameter d in straight rows leave a square on point of (sqrt 2 - 1) d. In square brackets
a row; the strip that is used is as high as all rows together. Lengths are mm, or sides s.
"""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item
from geometry.model.cutter import WorkArea
from geometry.shapes.catalogue import build
from tests.layouts import lay_out, require_sound
from tests.plain_items import circle, square, triangle

#: Width of an octagon of side 1.
_W = 1.0 + math.sqrt(2.0)
#: Height of the strip of five octagons of side 1 that is 12 long.
_R, _T = 0.5 / math.sin(math.pi / 8.0), math.tan(math.pi / 8.0)
_BOTH = (_W / 2.0 + _R) * (1.0 / math.cos(math.pi / 8.0) + _T)
_ZIGZAG = (_W + 2.0 * _BOTH + 4.0 * _R * (1.0 + _T) - 12.0) / (4.0 * _T)


def octagon(side: float, count: int) -> Item:
    return Item("octagon", build("octagon", {"side": side}), count)


def half_square(side: float, count: int) -> Item:
    outline = build("half_square_triangle", {"side": side})
    return Item("half_square_triangle", outline, count)


def diamond(side: float, count: int) -> Item:
    return Item("diamond", build("diamond_60", {"side": side}), count)


def hexagon(side: float, count: int) -> Item:
    return Item("hexagon", build("hexagon", {"side": side}), count)


@pytest.mark.parametrize(
    ("items", "sheet", "gap", "by_hand"),
    [
        # [3 octagons of 96.6: 289.7 of 300] twice; 2 pockets. 193.1 of 400.
        ([octagon(40.0, 6), square("A", 40.0, 2)], (300.0, 400.0), 0.0, 2.0 * _W * 40.0 / 400.0),
        # [3 octagons] three times; 4 pockets. 289.7 of 400.
        ([octagon(40.0, 9), square("A", 40.0, 4)], (300.0, 400.0), 0.0, 3.0 * _W * 40.0 / 400.0),
        # [4 octagons of 72.4 and 3 gaps: 295.7 of 300] three times; 6 pockets. From the middle of
        # a pocket to an octagon it is 74.4 / sqrt 2 - 36.2 = 16.4, less the gap 14.4: they hold
        # squares of up to 28.8.
        (
            [octagon(30.0, 12), square("A", 28.0, 6)],
            (300.0, 400.0), 2.0, (3.0 * _W * 30.0 + 2.0 * 2.0) / 400.0,
        ),
        # [4 octagons: 289.7 of 300] three times; 6 pockets between them for squares, 3 at each
        # side of the strip and 2 at each end of it for half squares.
        (
            [octagon(30.0, 12), square("A", 30.0, 6), half_square(30.0, 6)],
            (300.0, 400.0), 0.0, 3.0 * _W * 30.0 / 400.0,
        ),
        # [5 octagons of 61.3: 306.6 of 310]; 4 pockets at each side.
        ([octagon(25.4, 5), half_square(25.4, 8)], (310.0, 457.0), 0.0, _W * 25.4 / 457.0),
        # [4 circles, 240] three times; 6 pockets for squares of up to 24.85.
        ([circle("A", 60.0, 12), square("B", 24.0, 6)], (240.0, 400.0), 0.0, 180.0 / 400.0),
        # [4 hexagons corner to corner, 240, 52 high]; 3 pockets at each side, for triangles of up
        # to 30.
        (
            [hexagon(30.0, 4), triangle("A", 28.0, 6)],
            (240.0, 300.0), 0.0, math.sqrt(3.0) * 30.0 / 300.0,
        ),
        # [5 octagons, up and down in turn, 12 s long.] The outer two lie on an edge, those between
        # them on a corner. With a = w / 2, r = 1.307 to a corner, c and t the cosine and tangent of
        # 22.5 degrees, a strip h high lets the second lie (a + r) / c - (h - a - r) t beside the
        # first and the third 2 r - (h - 2 r) t beside the second. So 2 a + 2 (a + r) (1 / c + t) +
        # 4 r (1 + t) - 4 h t = 12: h = 3.216 of 18 s. 14 half squares lie above and below them.
        (
            [octagon(25.4, 5), half_square(25.4, 14)],
            (304.8, 457.2), 0.0, _ZIGZAG / 18.0,
        ),
        # Sides of 1. [13 triangles and 2 diamonds, 17 triangles in all: 9 of 9 long, 0.866.] [9
        # diamonds turned by 6 degrees: each 0.866 / sin 66 = 0.948 beside the one before, the last
        # cos 6 + cos 66 = 1.401 long: 8.985. sin 6 + sin 66 = 1.018 high.] 1.884 of 6.
        (
            [diamond(50.8, 11), triangle("A", 50.8, 13)],
            (304.8, 457.2), 0.0, (0.86603 + 1.01808) / 6.0,
        ),
        # 8 octagons along the longer side, every other one half a width to the right, so that each
        # is (w - (w / 2 - s)) = 2.207 s above the one before: 7 x 2.207 + 2.414 = 17.86 of 18 s.
        # Left and right of them pockets are w / 2 = 1.207 s wide and 4.414 - 2.414 = 2 s long: 3 at
        # each side, and at one end of each side 18 - 15.66 or 2.207 s are left. 2 squares go into
        # each, 16 in all. 1.5 w = 3.62 of 12 s.
        (
            [octagon(25.4, 8), square("A", 25.4, 15)],
            (304.8, 457.2), 0.0, 1.5 * _W / 12.0,
        ),
    ],
)  # fmt: skip
@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_takes_no_more_than_by_hand(
    items: list[Item], sheet: tuple[float, float], gap: float, by_hand: float, effort: str
) -> None:
    room = WorkArea.rectangle(0.0, 0.0, *sheet)
    found = lay_out(items, room, gap=gap, effort=effort, nester=None)
    require_sound(found, items, room, gap)
    assert len(found.loads) == 1
    assert found.used[0].share <= by_hand + 1e-6
