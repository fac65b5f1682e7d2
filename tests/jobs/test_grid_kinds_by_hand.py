"""Kinds of one side length on one grid of triangles or squares, as a person lays them by hand."""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item
from geometry.layout.objective import cut_length
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out

SIDE = 40.0
#: Height of a row of triangles.
ROW = SIDE * math.sqrt(3.0) / 2.0
EFFORTS = ["quick", pytest.param("normal", marks=pytest.mark.long)]


def _kinds(**counts: int) -> list[Item]:
    return [Item(kind, build(kind, {"side": SIDE}), count) for kind, count in counts.items()]


def _strip(
    items: list[Item], width: float, height: float, *, common_line: bool = False, effort: str
) -> tuple[float, float]:
    """Return the area of the one load's strip, mm2, and its cut length, mm; it is sound."""
    room = WorkArea.rectangle(0.0, 0.0, width, height)
    found = lay_out(items, room, gap=0.0, effort=effort, common_line=common_line)
    (load,) = found.loads
    outlines = {item.piece: item.outline for item in items}
    assert check_load(outlines, load, room, 0.0) == []
    assert load.repeats == 1
    assert dict(load.outlines) == {item.piece: item.quantity for item in items}
    return found.used[0].area, cut_length(load.placements, outlines)


@pytest.mark.parametrize("effort", EFFORTS)
def test_hexagons_and_triangles_cover_six_rows(effort: str) -> None:
    """10 hexagons and 24 triangles of 40 mm are 10 x 6 + 24 = 84 triangles.

    Along 300 mm, 7 1/2 sides, a row of triangles holds 7 up and 7 down: 84 are six rows, 207.85
    mm. Their outer edge is 2 x 7 x 40 mm level and 2 x 6 x 40 mm slanted; all other edges are
    two pieces': (10 x 240 + 24 x 120 + 1040) / 2 = 3160 mm are cut.
    """
    items = _kinds(hexagon=10, triangle=24)
    area, cut = _strip(items, 300.0, 400.0, common_line=True, effort=effort)
    assert area == pytest.approx(300.0 * 6.0 * ROW, rel=1e-6)
    assert cut == pytest.approx(3160.0, abs=0.01)


@pytest.mark.parametrize("effort", EFFORTS)
def test_four_kinds_on_five_rows(effort: str) -> None:
    """7 hexagons, 12 triangles, 9 diamonds and 6 half hexagons: 42 + 12 + 18 + 18 = 90 triangles.

    Along 400 mm, 10 sides, a row holds 10 one way up and 9 the other: five rows are 95 triangles,
    173.21 mm; four are 76.
    """
    items = _kinds(hexagon=7, triangle=12, diamond_60=9, half_hexagon=6)
    area, _ = _strip(items, 300.0, 400.0, effort=effort)
    assert area <= 400.0 * 5.0 * ROW * (1.0 + 1e-6)


@pytest.mark.parametrize("effort", EFFORTS)
def test_squares_and_halves_cover_four_columns(effort: str) -> None:
    """9 squares of 50 mm, 10 half squares and 5 rectangles of 100 by 50: 9 + 5 + 10 = 24 squares.

    Four columns of six cover 200 x 300 mm to the last. Squares have 200 mm of edges, rectangles
    300, halves 2 x 50 + 70.711: 1800 + 1500 + 1707.11, and 1000 about all: 3003.55 mm are cut.
    """
    items = [
        Item("S", build("square", {"side": 50.0}), 9),
        Item("T", build("half_square_triangle", {"side": 50.0}), 10),
        Item("R", build("rectangle", {"width": 100.0, "height": 50.0}), 5),
    ]
    area, cut = _strip(items, 300.0, 300.0, common_line=True, effort=effort)
    assert area == pytest.approx(200.0 * 300.0, rel=1e-6)
    halves = 10.0 * (100.0 + math.hypot(50.0, 50.0))
    assert cut == pytest.approx((1800.0 + 1500.0 + halves + 1000.0) / 2.0, abs=0.01)


@pytest.mark.parametrize("effort", EFFORTS)
def test_triangles_of_two_sizes_share_a_grid(effort: str) -> None:
    """6 triangles of 80 mm, 4 small ones each, and 10 of 40 mm: 34 small triangles.

    Across 200 mm, 5 sides, a row holds 5 one way up and 4 the other: four rows, of 36, are 138.56
    mm. Rows of 80 mm alone would be 2 x 69.28 mm, each with 2 up and 1 down, and hold 6: between
    their outer slants 2 x 6 small ones go. So 34 of 36 are covered.
    """
    items = [
        Item("L", build("triangle", {"side": 80.0}), 6),
        Item("S", build("triangle", {"side": 40.0}), 10),
    ]
    area, _ = _strip(items, 300.0, 200.0, effort=effort)
    assert area <= 200.0 * 4.0 * ROW * (1.0 + 1e-6)


def test_triangles_that_may_not_turn_stay_as_they_are() -> None:
    """4 hexagons and 8 triangles that may not be turned: in a row all triangles point up.

    Two rows of height 69.28 mm hold a hexagon each in two; a hexagon and a triangle that points up
    on its upper slant take 3 sides of the grid.
    """
    items = [
        Item("H", build("hexagon", {"side": SIDE}), 4, turns="fixed"),
        Item("T", build("triangle", {"side": SIDE}), 8, turns="fixed"),
    ]
    room = WorkArea.rectangle(0.0, 0.0, 300.0, 400.0)
    found = lay_out(items, room, gap=0.0, effort="quick")
    assert {each.move.turn_deg for load in found.loads for each in load.placements} == {0.0}
    outlines = {item.piece: item.outline for item in items}
    assert not any(check_load(outlines, load, room, 0.0) for load in found.loads)
