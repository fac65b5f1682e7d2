"""Fabric and finishing: wrong charts refuted beside right ones, and what charts leave out."""

import pytest

from geometry.planning.cloth import Cut, Fabric
from geometry.planning.finishing import backing
from geometry.planning.pre_cuts import PreCut, from_pre_cuts, held_by
from geometry.planning.yardage import yardage
from geometry.units import MM_PER_INCH as INCH
from geometry.units import parse_length, yard_text
from service.planning import beds

YARD = 36 * INCH


def _a_sheet(side: float, width: float, length: float) -> int:
    cut = Cut(side * INCH, side * INCH, 1)
    held = held_by(cut, width * INCH, length * INCH, Fabric())
    return 0 if held is None else held.pieces


def _bought(
    width: float, length: float, count: int, fabric: float, step: float
) -> tuple[int, int, float, float]:
    """Return pieces a row, rows, inches of rows and yards bought."""
    found = yardage([Cut(width * INCH, length * INCH, count)], Fabric(fabric * INCH, step * YARD))
    row = found.rows[0]
    return row.per_row, row.rows, found.length / INCH, found.buy / YARD


FAT_QUARTER = {2: 99, 2.5: 56, 3: 42, 3.5: 30, 4: 20, 4.5: 16, 5: 12, 5.5: 12, 6: 9, 6.5: 6}


@pytest.mark.parametrize(("side", "count"), FAT_QUARTER.items())
def test_c32_squares_of_a_fat_quarter(side: float, count: int) -> None:
    # published twice alike: a handout (docsbay.net/number-of-squares-from-a-fat-quarter) and a
    # teacher's chart
    assert _a_sheet(side, 22, 18) == count
    found = from_pre_cuts(
        Cut(side * INCH, side * INCH, count), PreCut("fat quarter", 18 * INCH, 22 * INCH), Fabric()
    )
    assert (found.needed, found.spare) == (1, 0)


@pytest.mark.parametrize(("side", "printed", "right"), [(2.5, 55, 56), (5, 15, 12)])
def test_c32_a_third_list_is_wrong_twice(side: float, printed: int, right: int) -> None:
    # a page of measurements prints 55 and 15
    assert _a_sheet(side, 22, 18) == right != printed


@pytest.mark.parametrize(("part", "printed", "right"), [(9, 14, 8), (18, 28, 24), (36, 56, 56)])
def test_c35_five_inch_squares_of_part_of_a_yard(part: float, printed: int, right: int) -> None:
    # docsbay.net/number-of-squares-from-a-fat-quarter halves 56 to 28 and 14; derived: a quarter
    # yard of 9 in holds one row of 8, a half yard three
    assert _a_sheet(5, 44, part) == right <= printed
    # 14 squares, which the chart promises of a quarter yard, take two rows and 3/8 yd.
    assert _bought(5, 5, 14, 44, 1 / 8)[3] == pytest.approx(3 / 8)


def test_c50_parts_of_a_yard() -> None:
    # exact: 1 in = 25.4 mm, 1 yd = 36 in. A page prints "1/8 yard = 4/5 in" and "2/3 = 25 in"
    # (the page of measurements): both are misprints of 4.5 and 24
    assert parse_length("1/8 yd") == pytest.approx(114.3, abs=1e-9)
    assert parse_length("1/8 yd") == pytest.approx(parse_length("4 1/2 in"), abs=1e-9)
    assert parse_length("1 yd") == pytest.approx(914.4, abs=1e-9)
    assert parse_length("2/3 yd") == pytest.approx(parse_length("24 in"), abs=1e-9)
    assert [yard_text(eighths * 114.3) for eighths in (1, 2, 3, 4, 6, 8, 11)] == [
        "1/8 yd",
        "1/4 yd",
        "3/8 yd",
        "1/2 yd",
        "3/4 yd",
        "1 yd",
        "1 3/8 yd",
    ]


def test_a_published_count_of_hexagons_is_cautious() -> None:
    # a page on cutting in layers: 96 hexagons at 12 a strip of 44 in;
    # derived: a hexagon 3 in across takes 14 a strip, so theirs is cautious and never short
    assert _bought(3, 3, 96, 44, 1 / 8)[0] == 14


def test_shrinkage_is_bought_before_the_wash() -> None:
    # derived: 1 yd after a loss of 5 % is 36 / 0.95 = 37.895 in before it, so 1 1/8 yd
    found = yardage([Cut(4 * INCH, 4 * INCH, 90)], Fabric(40 * INCH, YARD / 8, shrinkage=0.05))
    assert found.length == pytest.approx(YARD)
    assert found.length_before_wash == pytest.approx(36 / 0.95 * INCH)
    assert found.buy == pytest.approx(1.125 * YARD)
    assert found.unused == pytest.approx((40.5 - 36 / 0.95) * INCH)


def test_spoilage_cuts_more_pieces() -> None:
    # derived: 100 and 10 % are 110, 11 rows of 10
    found = yardage([Cut(4 * INCH, 2 * INCH, 100)], Fabric(40 * INCH, YARD / 8, spoilage=0.1))
    assert (found.rows[0].count, found.rows[0].rows) == (110, 11)


def test_a_directional_print_is_not_turned() -> None:
    # derived: 40 pieces 3 in wide and 7 in long: 13 a row, 4 rows, 28 in; turned 5 a row, 8 rows,
    # 24 in; 2 rows of 13 and 3 turned rows of 5 hold 41 on 14 + 9 = 23 in
    tall = Cut(3 * INCH, 7 * INCH, 40, turns_deg=None)
    free = yardage([tall], Fabric(40 * INCH))
    assert [(each.count, each.rows, each.turned) for each in free.rows] == [
        (26, 2, False),
        (14, 3, True),
    ]
    assert free.length / INCH == pytest.approx(23)
    bound = yardage([tall], Fabric(40 * INCH, directional=True))
    assert not bound.rows[0].turned
    assert bound.length / INCH == pytest.approx(28)


def test_c44_a_tuck_lengthens_and_a_drop_widens() -> None:
    # derived: width + 2 drops, length + drop + tuck
    found = beds.quilt_size(60 * INCH, 80 * INCH, drop=10 * INCH, tuck=14 * INCH)
    assert [each / INCH for each in found] == pytest.approx([80, 104])


def test_c47_a_formula_in_circulation_is_no_length_at_all() -> None:
    # "square inches / 36" as yards: 60 x 70 in would take 147 yd with 4 in more on each side;
    # derived: two panels of 78 in are 4 1/3 yd
    assert pytest.approx(147.3, abs=0.1) == 68 * 78 / 36
    found = backing(
        60 * INCH,
        70 * INCH,
        extra_each_side=4 * INCH,
        usable=40 * INCH,
        join=0.0,
        seams="lengthwise",
        fabric=Fabric(),
    )
    assert found.chosen.fabric_length / YARD == pytest.approx(13 / 3)
