"""Counts of blocks in every setting by closed form, and their areas by shapely."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from typing import Any

import pytest
from shapely import Polygon, union_all

from geometry.planning.assembly import Assembly
from service.quilts.top import quilt_top
from service.requests.quilt_plans import QuiltPlanRequestSchema
from service.schemas.loading import load

SIDE = 30.0
GRID = list(itertools.product((1, 2, 5), (1, 3, 4)))
BLOCK = {
    "size": SIDE,
    "pieces": [
        {"points": [[0, 0], [SIDE, 0], [SIDE, SIDE]], "colour": "a"},
        {"points": [[0, 0], [SIDE, SIDE], [0, SIDE]], "colour": "b"},
    ],
}


def planned(width: float, length: float, setting: dict[str, Any]) -> Assembly:
    """Return a quilt of blocks of two triangles, at most this large, mm."""
    body = {
        "units": "mm",
        "block": BLOCK,
        "quilt": {"width": width + 0.01, "length": length + 0.01},
        "fit": "smaller",
        "setting": setting,
    }
    return quilt_top(load(QuiltPlanRequestSchema(), body)).assembly


def colours(made: Assembly) -> Counter[str]:
    """Return pieces by the colour of their own, or their role."""
    protos = (made.plane.protos[each.proto] for each in made.placed)
    return Counter(each.colour or each.role for each in protos)


def fills(made: Assembly, width: float, length: float) -> None:
    """Check that the pieces fill the quilt without overlapping."""
    rings = [Polygon([row[:2] for row in made.outline(each).rows()]) for each in made.placed]
    assert sum(each.area for each in rings) == pytest.approx(width * length, rel=1e-9)
    assert union_all(rings).area == pytest.approx(width * length, rel=1e-9)
    assert (made.bounds.width, made.bounds.height) == pytest.approx((width, length))


@pytest.mark.parametrize(("columns", "rows"), GRID)
@pytest.mark.parametrize("outer", [False, True])
def test_sashing(columns: int, rows: int, outer: bool) -> None:
    """R(C - 1) + C(R - 1) sashes and (C - 1)(R - 1) cornerstones, with + 1 for - 1 outside."""
    more = 1 if outer else -1
    width = columns * SIDE + (columns + more) * 4.0
    length = rows * SIDE + (rows + more) * 4.0
    sashing = {"width": 4, "outer": outer}
    made = planned(width, length, {"sashing": sashing, "turns_deg": [[0, 90], [270, 180]]})
    expected = {
        "a": columns * rows,
        "b": columns * rows,
        "sashing": rows * (columns + more) + columns * (rows + more),
        "cornerstone": (columns + more) * (rows + more),
    }
    assert colours(made) == {name: count for name, count in expected.items() if count}
    fills(made, width, length)


@pytest.mark.parametrize(("columns", "rows"), GRID)
@pytest.mark.parametrize("alternate", [False, True])
def test_on_point(columns: int, rows: int, alternate: bool) -> None:
    """CR blocks, (C - 1)(R - 1) between them, 2(C - 1) + 2(R - 1) side triangles, 4 corners."""
    diagonal = SIDE * math.sqrt(2.0)
    setting = {"layout": "on_point", "turns_deg": [[0, 90, 180]]}
    if alternate:
        setting["alternate_colour"] = "plain"
    made = planned(columns * diagonal, rows * diagonal, setting)
    between = (columns - 1) * (rows - 1)
    blocks = columns * rows + (0 if alternate else between)
    expected = {
        "a": blocks,
        "b": blocks,
        "plain": between if alternate else 0,
        "setting triangle": 2 * (columns - 1) + 2 * (rows - 1) + 4,
    }
    assert colours(made) == {name: count for name, count in expected.items() if count}
    fills(made, columns * diagonal, rows * diagonal)


@pytest.mark.parametrize(("columns", "rows"), GRID)
def test_turns_repeat_from_the_lower_left(columns: int, rows: int) -> None:
    """The block's right angle of "a" is at its lower right; each quarter turn moves it on."""
    turns = [[0, 90], [180, 270], [90, 0]]
    made = planned(columns * SIDE, rows * SIDE, {"turns_deg": turns})
    fills(made, columns * SIDE, rows * SIDE)
    corners = {0: (1, 0), 90: (1, 1), 180: (0, 1), 270: (0, 0)}
    for piece in made.placed:
        if made.plane.protos[piece.proto].role != "a":
            continue
        middle = Polygon([row[:2] for row in made.outline(piece).rows()]).centroid
        column, row = int(middle.x // SIDE), int(middle.y // SIDE)
        place = (round((middle.x / SIDE) % 1), round((middle.y / SIDE) % 1))
        assert place == corners[turns[row % 3][column % 2]]
        assert (piece.row, piece.column) == (row, column)
