"""Kinds that fit no common grid, with common lines: edge to edge as by hand, on as little.

Each job counts edges of one length: those of all pieces, less one for each that two pieces have in
common.
"""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item
from geometry.layout.objective import cut_length
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out

EFFORTS = ["quick", pytest.param("normal", marks=pytest.mark.long)]
SIDE = 40.0
#: Height of a row of triangles, width of an octagon, and what its corners take off, of its side.
ROW, ACROSS, CORNER = math.sqrt(0.75), 1.0 + math.sqrt(2.0), math.sqrt(0.5)


def item(kind: str, side: float, count: int) -> Item:
    return Item(kind, build(kind, {"side": side}), count)


def strip_and_cut(items: list[Item], width: float, height: float, effort: str) -> tuple[float, ...]:
    """Return the strip of the one load, mm2, and its cut length, mm; it is sound and holds all."""
    room = WorkArea.rectangle(0.0, 0.0, width, height)
    found = lay_out(items, room, gap=0.0, effort=effort, common_line=True)
    (load,) = found.loads
    outlines = {each.piece: each.outline for each in items}
    assert check_load(outlines, load, room, 0.0) == []
    assert load.repeats == 1
    assert dict(load.outlines) == {each.piece: each.quantity for each in items}
    return found.used[0].area, cut_length(load.placements, outlines)


@pytest.mark.parametrize("effort", EFFORTS)
def test_triangles_turn_their_longer_side_to_what_is_left_of_a_column(effort: str) -> None:
    """8 squares and 13 triangles of 45 mm on 300 by 270 mm.

    A column of 6 squares, 270 mm, with two more beside its lower end. Beside the 4 others, 180 mm,
    a column of 7 triangles with 4 of its edges on them, then one of 6 on its 3 others: a strip of
    45 + 2 x 38.97 = 122.94 mm. Common: 5 + 3 of squares, 6 + 5 + 3 of triangles and 4 of both, 26
    of 8 x 4 + 13 x 3 = 71 edges. 45 edges of 45 mm are cut, 2025 mm.
    """
    items = [item("square", 45.0, 8), item("triangle", 45.0, 13)]
    area, cut = strip_and_cut(items, 300.0, 270.0, effort)
    assert area <= 270.0 * 45.0 * (1.0 + 2.0 * ROW) + 1.0
    assert cut <= 45.0 * 45.0 + 0.01


@pytest.mark.parametrize("effort", EFFORTS)
def test_squares_fill_the_holes_between_octagons(effort: str) -> None:
    """6 octagons and 2 squares of 40 mm on 300 by 300 mm.

    Two columns of three octagons, 2 x 96.57 = 193.14 mm, leave two holes that the squares fill.
    Common: 7 of octagons and 2 x 4 of the squares, 15 of 6 x 8 + 2 x 4 = 56 edges. 41 are cut,
    1640 mm. A column of squares of their own would take 40 mm more.
    """
    items = [item("octagon", SIDE, 6), item("square", SIDE, 2)]
    area, cut = strip_and_cut(items, 300.0, 300.0, effort)
    assert area <= 300.0 * 2.0 * ACROSS * SIDE + 1.0
    assert cut <= 41.0 * SIDE + 0.01


@pytest.mark.parametrize("effort", EFFORTS)
def test_squares_beside_octagons_lie_in_their_notches(effort: str) -> None:
    """6 octagons and 6 squares of 40 mm on 300 by 300 mm.

    Two squares fill the holes between octagons, two lie in the notches of one side, two on edges
    of that side: 193.14 + 40 mm. Common: 7 of octagons, 2 x 4, 2 x 2 and 2 of squares, 21 of 72
    edges. 51 are cut, 2040 mm.
    """
    items = [item("octagon", SIDE, 6), item("square", SIDE, 6)]
    area, cut = strip_and_cut(items, 300.0, 300.0, effort)
    assert area <= 300.0 * (2.0 * ACROSS + 1.0) * SIDE + 1.0
    assert cut <= 51.0 * SIDE + 0.01


@pytest.mark.parametrize("effort", EFFORTS)
def test_squares_left_over_lie_in_notches_above_the_octagons(effort: str) -> None:
    """9 octagons and 6 squares of 40 mm on 300 by 400 mm.

    Three rows of three octagons, 289.71 mm, with four squares in their holes; two more lie in the
    notches above and stand out by half a diagonal, 28.28 mm: 317.99 mm. Common: 12 of octagons,
    4 x 4 and 2 x 2 of squares, 32 of 96 edges. 64 are cut, 2560 mm.
    """
    items = [item("octagon", SIDE, 9), item("square", SIDE, 6)]
    area, cut = strip_and_cut(items, 300.0, 400.0, effort)
    assert area <= 300.0 * (3.0 * ACROSS + CORNER) * SIDE + 1.0
    assert cut <= 64.0 * SIDE + 0.01


@pytest.mark.parametrize("effort", EFFORTS)
def test_half_squares_fill_the_notches_around_octagons(effort: str) -> None:
    """4 octagons, a square and 4 half squares of 40 mm on 200 by 300 mm.

    Two rows of two octagons, 193.14 mm: the square fills the hole, the half squares the four
    notches, flush with the sides. Common: 4 of octagons, 4 of the square and 4 x 2 of the halves,
    16 edges. All outlines together are 4 x 8 x 40 + 160 + 4 x (80 + 56.57) = 1986.27 mm, of which
    16 x 40 = 640 mm are cut once in place of twice: 1346.27 mm.
    """
    items = [
        item("octagon", SIDE, 4),
        item("square", SIDE, 1),
        item("half_square_triangle", SIDE, 4),
    ]
    area, cut = strip_and_cut(items, 200.0, 300.0, effort)
    assert area <= 200.0 * 2.0 * ACROSS * SIDE + 1.0
    halves = 4.0 * SIDE * (2.0 + math.sqrt(2.0))
    assert cut <= (4.0 * 8.0 + 4.0 - 16.0) * SIDE + halves + 0.01


@pytest.mark.parametrize("effort", EFFORTS)
def test_a_rectangle_closes_the_end_of_two_columns(effort: str) -> None:
    """6 squares of 40 mm and 5 rectangles of 60 by 30 mm on 300 by 300 mm.

    A column of 6 squares and one of 4 rectangles are both 240 mm long; together they are 70 mm
    wide, and the last rectangle lies across their end, 60 mm long and 30 high. Common: 5 x 40 of
    squares, 3 x 30 of rectangles, 240 of both columns and 60 at their end, 590 mm of
    6 x 160 + 5 x 180 = 1860. 1270 mm are cut; five rectangles in a column would cut 1300.
    """
    items = [
        item("square", SIDE, 6),
        Item("rectangle", build("rectangle", {"width": 60.0, "height": 30.0}), 5),
    ]
    area, cut = strip_and_cut(items, 300.0, 300.0, effort)
    assert area <= 300.0 * 70.0 + 1.0
    assert cut <= 1270.0 + 0.01


@pytest.mark.parametrize("effort", EFFORTS)
def test_squares_of_two_sizes_lie_in_two_blocks(effort: str) -> None:
    """8 squares of 40 mm and 7 of 30 mm on 300 by 300 mm, on a strip of 80 mm.

    Two columns of 4 large squares have 3 + 3 + 4 edges in common, two of 4 and 3 small ones beyond
    them 3 + 2 + 3, and 60 mm lie on the large ones' end: 400 + 240 + 60 = 700 mm of
    8 x 160 + 7 x 120 = 2120. 1420 mm are cut.
    """
    items = [
        item("square", SIDE, 8),
        Item("small", build("square", {"side": 30.0}), 7),
    ]
    area, cut = strip_and_cut(items, 300.0, 300.0, effort)
    assert area <= 300.0 * 80.0 + 1.0
    assert cut <= 1420.0 + 0.01


@pytest.mark.parametrize("effort", EFFORTS)
def test_a_row_of_diamonds_slides_until_its_edges_match(effort: str) -> None:
    """7 squares and 7 diamonds of 45 degrees, all of 40 mm, on 310 by 300 mm.

    The diamonds' row is 7 x 40 + 28.28 = 308.28 mm long and 28.28 high, with 7 edges on either
    side: all 7 lie on the squares'. Common: 6 + 6 + 7 of 56 edges. 37 are cut, 1480 mm, on a strip
    of 68.28 mm.
    """
    items = [item("square", SIDE, 7), item("diamond_45", SIDE, 7)]
    area, cut = strip_and_cut(items, 310.0, 300.0, effort)
    assert area <= 310.0 * (1.0 + CORNER) * SIDE + 1.0
    assert cut <= 37.0 * SIDE + 0.01


@pytest.mark.parametrize("effort", EFFORTS)
def test_hexagons_stand_on_a_row_of_squares(effort: str) -> None:
    """3 hexagons and 6 squares of 40 mm on 240 by 300 mm.

    Lying flat the hexagons are 80 mm long and 69.28 high; each stands with one edge on the row of
    squares: a strip of 109.28 mm. Common: 5 of squares and 3 of both, 8 of 42 edges. 34 are cut,
    1360 mm.
    """
    items = [item("hexagon", SIDE, 3), item("square", SIDE, 6)]
    area, cut = strip_and_cut(items, 240.0, 300.0, effort)
    assert area <= 240.0 * (1.0 + 2.0 * ROW) * SIDE + 1.0
    assert cut <= 34.0 * SIDE + 0.01


@pytest.mark.parametrize("effort", EFFORTS)
def test_squares_meet_beside_circles(effort: str) -> None:
    """2 circles of 50 mm and 4 squares of 40 mm on 300 by 300 mm.

    A circle has no edge that meets another. 2 circles and 4 squares in a row are 260 mm long; 3 of
    the 16 edges are common, 13 are cut, and both circles: 520 + 314.16 mm.
    """
    circles = Item("circle", build("circle", {"diameter": 50.0}), 2)
    area, cut = strip_and_cut([circles, item("square", SIDE, 4)], 300.0, 300.0, effort)
    assert area <= 300.0 * 50.0 + 1.0
    assert cut <= 13.0 * SIDE + 100.0 * math.pi + 0.2
