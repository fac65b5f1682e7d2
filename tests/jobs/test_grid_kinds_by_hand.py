"""Kinds of one side length on one grid of triangles or squares, as a person lays them by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from geometry.layout import Item
from geometry.layout.objective import cut_length, placement_bounds
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
    items: list[Item],
    width: float,
    height: float,
    *,
    gap: float = 0.0,
    common_line: bool = False,
    effort: str,
) -> tuple[float, float]:
    """Return the area of the one load's strip, mm2, and its cut length, mm; it is sound."""
    room = WorkArea.rectangle(0.0, 0.0, width, height)
    found = lay_out(items, room, gap=gap, effort=effort, common_line=common_line)
    (load,) = found.loads
    outlines = {item.piece: item.outline for item in items}
    assert check_load(outlines, load, room, gap) == []
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


@pytest.mark.parametrize("effort", EFFORTS)
def test_pairs_of_half_squares_keep_a_gap(effort: str) -> None:
    """7 squares of 40 mm, 14 half squares and 5 rectangles of 80 by 40, gap 1 mm: 24 squares.

    Two halves with 1 mm between their long sides are 40 + 1 / sqrt 2 mm wide and high, so a grid
    with them has squares of 40.707 + 1 mm. 300 mm hold 7 of them, as 7 x 41.707 - 1 = 290.95:
    four columns of 7 are 28 squares, 165.83 mm, and three are 21.
    """
    items = [
        Item("S", build("square", {"side": 40.0}), 7),
        Item("T", build("half_square_triangle", {"side": 40.0}), 14),
        Item("R", build("rectangle", {"width": 80.0, "height": 40.0}), 5),
    ]
    area, _ = _strip(items, 300.0, 300.0, gap=1.0, effort=effort)
    assert area <= 300.0 * (4.0 * (41.0 + math.sqrt(0.5)) - 1.0) + 0.1


@pytest.mark.parametrize("effort", EFFORTS)
def test_hexagons_among_triangles_keep_a_gap(effort: str) -> None:
    """4 hexagons and 12 triangles of 40 mm, gap 1 mm: 24 + 12 = 36 triangles.

    Two triangles 1 mm apart lie on a grid of 40 + sqrt 3 mm. Along 190 mm, 4 1/2 such sides are
    187.79 mm, a row holds 4 up and 4 down: five rows hold 40, four 32. Five are 5 x 36.141 - 1
    mm high.
    """
    pitch = SIDE + math.sqrt(3.0)
    items = _kinds(hexagon=4, triangle=12)
    area, _ = _strip(items, 190.0, 400.0, gap=1.0, effort=effort)
    assert area <= 190.0 * (5.0 * pitch * math.sqrt(0.75) - 1.0) + 0.1


@pytest.mark.parametrize("effort", EFFORTS)
def test_loads_of_whole_sets_lie_on_a_grid(effort: str) -> None:
    """Sets of 2 hexagons, 4 triangles and 2 diamonds: 12 + 4 + 4 = 20 triangles of 40 mm.

    On 150 x 210 mm a row along 150 holds 6, 3 1/2 sides: six rows, 207.85 mm, are 36, one set; on
    its side a row along 210, 5 sides, holds 9: four rows, 138.56 mm, 36 as well. One set on rows
    along 150 takes four rows, of 24: 150 x 138.56 mm.
    """
    items = [
        Item(kind, build(kind, {"side": SIDE}), 3 * count, per_set=count)
        for kind, count in {"hexagon": 2, "triangle": 4, "diamond_60": 2}.items()
    ]
    room = WorkArea.rectangle(0.0, 0.0, 150.0, 210.0)
    found = lay_out(items, room, gap=0.0, effort=effort, sets=True)
    outlines = {item.piece: item.outline for item in items}
    assert [load.repeats for load in found.loads] == [3]
    assert dict(found.loads[0].outlines) == {"hexagon": 2, "triangle": 4, "diamond_60": 2}
    assert check_load(outlines, found.loads[0], room, 0.0) == []
    assert found.used[0].area <= 150.0 * 4.0 * ROW + 0.01


def test_diamonds_of_one_kind_stand_between_rows() -> None:
    """26 diamonds of 40 mm, gap 1 mm, are 52 triangles on a grid of 40 + 2 / sqrt 3 mm.

    Along 300 mm, 7 sides of 41.155 are 288.1, a row holds 7 and 6 triangles: six diamonds and one
    triangle over. Four rows are 52: the four over are two diamonds that stand in two rows each.
    4 x 35.641 - 1 = 141.56 mm.
    """
    items = [Item("D", build("diamond_60", {"side": SIDE}), 26)]
    room = WorkArea.rectangle(0.0, 0.0, 300.0, 300.0)
    found = lay_out(items, room, gap=1.0, effort="normal", nester=None)
    (load,) = found.loads
    assert check_load({"D": items[0].outline}, load, room, 1.0) == []
    assert dict(load.outlines) == {"D": 26}
    pitch = SIDE + 2.0 / math.sqrt(3.0)
    assert found.used[0].area <= 300.0 * (4.0 * pitch * math.sqrt(0.75) - 1.0) + 0.1


def test_half_squares_on_point_behind_the_squares() -> None:
    """9 squares of 50 mm, 14 half squares and 5 rectangles of 100 by 50: 26 squares.

    Four columns of six are 24, 200 mm. The four half squares left lie on their long sides in a
    row, 50 / sqrt 2 = 35.36 mm high and 5 x 35.36 mm long: 235.36 mm, not 250 for a fifth column.
    """
    items = [
        Item("S", build("square", {"side": 50.0}), 9),
        Item("T", build("half_square_triangle", {"side": 50.0}), 14),
        Item("R", build("rectangle", {"width": 100.0, "height": 50.0}), 5),
    ]
    room = WorkArea.rectangle(0.0, 0.0, 300.0, 300.0)
    found = lay_out(items, room, gap=0.0, effort="normal", nester=None)
    (load,) = found.loads
    outlines = {item.piece: item.outline for item in items}
    assert check_load(outlines, load, room, 0.0) == []
    assert dict(load.outlines) == {"S": 9, "T": 14, "R": 5}
    assert found.used[0].area <= 300.0 * (200.0 + 50.0 * math.sqrt(0.5)) + 0.1


@pytest.mark.parametrize("effort", EFFORTS)
def test_kinds_share_a_length_of_roll(effort: str) -> None:
    """10 hexagons and 24 triangles of 40 mm, 84 triangles, on a roll 210 mm wide.

    Six rows along the roll are 207.85 mm wide; 7 1/2 sides, 300 mm, hold 7 up and 7 down in each:
    6 x 14 = 84.
    """
    items = _kinds(hexagon=10, triangle=24)
    room = replace(WorkArea.rectangle(0.0, 0.0, 1.0, 210.0), open_right=True)
    (load,) = lay_out(items, room, gap=0.0, effort=effort).loads
    outlines = {item.piece: item.outline for item in items}
    assert check_load(outlines, load, room, 0.0) == []
    assert dict(load.outlines) == {"hexagon": 10, "triangle": 24}
    assert placement_bounds(load.placements, outlines).right <= 300.0 + 0.001


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
