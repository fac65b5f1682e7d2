"""Part-filled loads of several kinds at every effort: a strip of rows for each, as by hand.

Sums of the textbook sizes of the shapes; gap and the way each shape may lie are those of the test.
"""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item, Layout
from geometry.layout.objective import cut_length, placement_bounds
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out, require_sound

EFFORTS = ["quick", pytest.param("normal", marks=pytest.mark.long)]
INCH = 25.4


def item(kind: str, side: float, count: int, turns: str = "free") -> Item:
    return Item(kind, build(kind, {"side": side}), count, turns=turns)


def material(layout: Layout, items: list[Item], room: WorkArea, gap: float) -> float:
    """Return the material of all loads, mm2; each is sound, and together they hold all."""
    require_sound(layout, items, room, gap)
    pairs = zip(layout.loads, layout.used, strict=True)
    return sum(used.area * load.repeats for load, used in pairs)


def load_count(layout: Layout) -> int:
    return sum(load.repeats for load in layout.loads)


@pytest.mark.parametrize("effort", EFFORTS)
def test_squares_and_triangles_share_half_a_sheet(effort: str) -> None:
    """12 squares and 24 triangles of 40 mm on 300 by 300 mm, edge to edge.

    Seven squares in a row: two rows, 80 mm. n triangles in a row are (n + 1) x 20 mm long: 14, so
    two rows of 34.64 mm. 149.28 mm of 300.
    """
    items = [item("square", 40.0, 12), item("triangle", 40.0, 24)]
    room = WorkArea.rectangle(0.0, 0.0, 300.0, 300.0)
    found = lay_out(items, room, gap=0.0, effort=effort)
    assert load_count(found) == 1
    by_hand = 80.0 + 2.0 * 40.0 * math.sqrt(0.75)
    assert material(found, items, room, 0.0) <= 300.0 * by_hand + 1.0


@pytest.mark.parametrize("effort", EFFORTS)
def test_rectangles_and_diamonds_on_a_sheet_of_letter_width(effort: str) -> None:
    """12 rectangles of 30 by 15 mm and 23 diamonds of 30 mm on 305 by 457 mm.

    Along 457 mm: 15 rectangles in a row, 15 mm. n diamonds in a row are (n + 1/2) x 30 mm long:
    14, so two rows of 25.98 mm. 66.96 mm of 305.
    """
    items = [
        Item("R", build("rectangle", {"width": 30.0, "height": 15.0}), 12),
        item("diamond_60", 30.0, 23),
    ]
    room = WorkArea.rectangle(0.0, 0.0, 305.0, 457.0)
    found = lay_out(items, room, gap=0.0, effort=effort)
    assert load_count(found) == 1
    by_hand = 15.0 + 2.0 * 30.0 * math.sqrt(0.75)
    assert material(found, items, room, 0.0) <= 457.0 * by_hand + 1.0


@pytest.mark.parametrize("effort", EFFORTS)
def test_one_row_of_hexagons_lies_flat(effort: str) -> None:
    """4 hexagons of 40 mm and 3 triangles of 30 mm on 400 by 600 mm, gap 1 mm.

    Rows of a honeycomb stand on a corner and are 80 mm high; a single row lies flat: 4 x 80 + 3 =
    323 mm long and 69.28 mm high. The triangles lie in a row of 25.98 mm. 96.26 mm of 600.
    """
    items = [item("hexagon", 40.0, 4), item("triangle", 30.0, 3)]
    room = WorkArea.rectangle(0.0, 0.0, 400.0, 600.0)
    found = lay_out(items, room, gap=1.0, effort=effort)
    assert load_count(found) == 1
    by_hand = 80.0 * math.sqrt(0.75) + 1.0 + 30.0 * math.sqrt(0.75)
    assert material(found, items, room, 1.0) <= 400.0 * by_hand + 1.0


@pytest.mark.parametrize("effort", EFFORTS)
def test_full_loads_leave_the_larger_rest(effort: str) -> None:
    """12 octagons of 2 in on 216 by 279 mm: two to a page, six pages.

    2 in x (1 + sqrt 2) = 122.64 mm. Beside each other along 279 mm they take 122.64 mm of 216;
    one above the other along 216 mm would not fit, and corner to corner they take most of a page.
    """
    items = [item("octagon", 2.0 * INCH, 12)]
    room = WorkArea.rectangle(0.0, 0.0, 216.0, 279.0)
    found = lay_out(items, room, gap=0.0, effort=effort)
    assert load_count(found) == 6
    by_hand = 6.0 * 279.0 * 2.0 * INCH * (1.0 + math.sqrt(2.0))
    assert material(found, items, room, 0.0) <= by_hand + 1.0


@pytest.mark.parametrize("effort", EFFORTS)
def test_plain_rows_hold_more_than_interlocked_ones(effort: str) -> None:
    """46 octagons of 2 in on 300 by 300 mm, gap 3 mm: two rows of two, 248.28 mm each way.

    Twelve loads, eleven of four and one of two: 248.28 mm of 300, and 122.64 mm. Interlocked rows
    are moved half a piece along: two and one.
    """
    items = [item("octagon", 2.0 * INCH, 46)]
    room = WorkArea.rectangle(0.0, 0.0, 300.0, 300.0)
    found = lay_out(items, room, gap=3.0, effort=effort)
    assert load_count(found) == 12
    across = 2.0 * INCH * (1.0 + math.sqrt(2.0))
    by_hand = 300.0 * (11.0 * (2.0 * across + 3.0) + across)
    assert material(found, items, room, 3.0) <= by_hand + 1.0


@pytest.mark.parametrize("effort", EFFORTS)
def test_fuller_loads_may_take_less_than_even_ones(effort: str) -> None:
    """53 octagons of 40 mm, 96.57 mm across, on 305 by 457 mm, edge to edge.

    Three in a row, four rows: 12 to a load, 386.27 mm of 457. Four full loads and five octagons in
    two rows, 193.14 mm, take 3.804 sheets; four loads of 11 and one of 9, as few, 3.9.
    """
    items = [item("octagon", 40.0, 53)]
    room = WorkArea.rectangle(0.0, 0.0, 305.0, 457.0)
    found = lay_out(items, room, gap=0.0, effort=effort)
    assert load_count(found) <= 5
    across = 40.0 * (1.0 + math.sqrt(2.0))
    assert material(found, items, room, 0.0) <= 305.0 * (4.0 * 4.0 + 2.0) * across + 1.0


@pytest.mark.parametrize("effort", EFFORTS)
def test_last_load_of_many_pieces_is_laid_in_strips(effort: str) -> None:
    """500 squares and 240 triangles of 40 mm on 300 by 300 mm.

    49 squares fill a load: ten loads hold 490, ten are left. 14 triangles in a row, eight rows of
    34.64 mm, 112 to a load: two loads hold 224, 16 are left. The last load: two rows of squares,
    80 mm, and two of triangles, 69.28 mm, at most; a full load of squares takes 280 mm of 300, one
    of triangles 277.13 mm.
    """
    items = [item("square", 40.0, 500), item("triangle", 40.0, 240)]
    room = WorkArea.rectangle(0.0, 0.0, 300.0, 300.0)
    found = lay_out(items, room, gap=0.0, effort=effort)
    assert load_count(found) == 13
    row = 40.0 * math.sqrt(0.75)
    by_hand = 300.0 * (10.0 * 280.0 + 2.0 * 8.0 * row + 80.0 + 2.0 * row)
    assert material(found, items, room, 0.0) <= by_hand + 1.0


@pytest.mark.parametrize("effort", EFFORTS)
def test_fewer_on_each_load_leave_room_for_another_kind(effort: str) -> None:
    """25 squares and 56 hexagons of 40 mm that may not be turned, on 250 by 500 mm.

    Hexagons on an edge, 80 by 69.28 mm, stand in columns 60 mm apart, the second half a height up:
    three columns, 200 mm of 250, of seven, six and seven. Three loads of 20 or fewer hold 56, 0.8
    of a sheet each. Six squares in a row, five rows: 200 mm of 500, 0.4 of a fourth sheet.
    """
    items = [item("square", 40.0, 25, "fixed"), item("hexagon", 40.0, 56, "fixed")]
    room = WorkArea.rectangle(0.0, 0.0, 250.0, 500.0)
    found = lay_out(items, room, gap=0.0, effort=effort)
    # Three loads are fewer, whatever their material.
    by_hand = 4, 250.0 * 500.0 * (3.0 * 0.8 + 0.4) + 1.0
    assert (load_count(found), material(found, items, room, 0.0)) <= by_hand


@pytest.mark.parametrize("effort", EFFORTS)
@pytest.mark.parametrize(
    ("side", "count", "width", "by_hand"), [(40.0, 168, 305.0, 480.0), (30.0, 320, 600.0, 240.0)]
)
def test_half_squares_on_a_roll_make_squares(
    side: float, count: int, width: float, by_hand: float, effort: str
) -> None:
    """Two half squares are a square.

    168 of 40 mm are 84 squares, 7 across 305 mm: 12 rows, 480 mm. 320 of 30 mm are 160 squares, 20
    across 600 mm: 8 rows, 240 mm.
    """
    items = [item("half_square_triangle", side, count)]
    room = WorkArea.roll(0.0, 0.0, width)
    (load,) = lay_out(items, room, gap=0.0, effort=effort).loads
    outlines = {"half_square_triangle": items[0].outline}
    assert len(load.placements) == count
    assert check_load(outlines, load, room, 0.0) == []
    assert placement_bounds(load.placements, outlines).right <= by_hand + 0.01


@pytest.mark.parametrize("effort", EFFORTS)
@pytest.mark.parametrize(("squares", "triangles", "by_hand"), [(7, 13, 1680.0), (14, 26, 3120.0)])
def test_a_row_turns_its_longer_side_to_the_row_beside_it(
    squares: int, triangles: int, by_hand: float, effort: str
) -> None:
    """7 squares and 13 triangles of 40 mm on 280 by 300 mm, common lines: two rows, 74.64 mm.

    Squares cut by themselves: 2 x 280 + 8 x 40 = 880 mm. Triangles: 13 bases of 40 and 14 slants,
    1080 mm; seven bases lie on the squares, 280 mm of cut: 1680. Twice as many: squares 3 x 280 +
    2 x 320 = 1480; triangles 26 bases and 28 slants, 2160, less six bases that both rows have and
    seven on the squares, 520: 3120.
    """
    items = [item("square", 40.0, squares), item("triangle", 40.0, triangles)]
    room = WorkArea.rectangle(0.0, 0.0, 280.0, 300.0)
    found = lay_out(items, room, gap=0.0, effort=effort, common_line=True)
    rows = squares // 7
    strip = 280.0 * rows * (40.0 + 40.0 * math.sqrt(0.75))
    assert material(found, items, room, 0.0) <= strip + 1.0
    (load,) = found.loads
    outlines = {each.piece: each.outline for each in items}
    assert cut_length(load.placements, outlines) <= by_hand + 0.01


@pytest.mark.parametrize("effort", EFFORTS)
@pytest.mark.parametrize(
    ("side", "count", "width", "height", "by_hand"),
    [
        # 11 + 10 on 20 mm: 10 columns of two: 3 x 200 + 11 x 40, and one more, 3 x 20
        (20.0, 21, 400.0, 400.0, 1100.0),
        # 6 + 6 on 30 mm: 3 x 180 + 7 x 60
        (30.0, 12, 330.0, 330.0, 960.0),
        # 4 + 3 on 50 mm: 3 columns of two, 3 x 150 + 4 x 100, and one more, 3 x 50
        (50.0, 7, 300.0, 300.0, 1000.0),
    ],
)
def test_even_rows_have_most_edges_in_common(
    side: float, count: int, width: float, height: float, by_hand: float, effort: str
) -> None:
    """Squares in two rows: as many columns of two as there are, and one square at the end."""
    items = [item("square", side, count)]
    room = WorkArea.rectangle(0.0, 0.0, width, height)
    found = lay_out(items, room, gap=0.0, effort=effort, common_line=True)
    assert material(found, items, room, 0.0) <= 2.0 * side * min(width, height) + 0.01
    (load,) = found.loads
    assert cut_length(load.placements, {"square": items[0].outline}) <= by_hand + 0.01
