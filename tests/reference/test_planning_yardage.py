"""Fabric against published charts: right ones are met, wrong ones are named and refuted."""

import pytest

from geometry.planning.yardage import Cut, Fabric, PreCut, from_pre_cuts, per_sheet, yardage
from geometry.units import MM_PER_INCH as INCH
from geometry.units import parse_length, yard_text

YARD = 36 * INCH


def _a_sheet(side: float, width: float, length: float) -> int:
    cut = Cut(side * INCH, side * INCH, 1)
    return per_sheet(cut, width * INCH, length * INCH, may_turn=False)[0]


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
    # published twice alike: docsbay.net/number-of-squares-from-a-fat-quarter and
    # www.quilterscache.com/M/MathChartsPage.html
    assert _a_sheet(side, 22, 18) == count
    found = from_pre_cuts(
        Cut(side * INCH, side * INCH, count), PreCut("fat quarter", 18 * INCH, 22 * INCH), Fabric()
    )
    assert (found.needed, found.spare) == (1, 0)


@pytest.mark.parametrize(("side", "printed", "right"), [(2.5, 55, 56), (5, 15, 12)])
def test_c32_a_third_list_is_wrong_twice(side: float, printed: int, right: int) -> None:
    # quiltersresources.com/measurements.html prints 55 and 15
    assert _a_sheet(side, 22, 18) == right != printed


YARD_OF_44 = {1: 1584, 2: 396, 2.5: 238, 3: 168, 3.5: 120, 4: 99, 4.5: 72, 5: 56, 6: 42, 6.5: 30}


@pytest.mark.parametrize(("side", "count"), YARD_OF_44.items())
def test_c33_squares_of_a_yard(side: float, count: int) -> None:
    # published: www.quilterscache.com/M/MathChartsPage.html (its heading says 42 in; its
    # numbers are of 44 in)
    assert _a_sheet(side, 44, 36) == count
    per_row, rows, _, yards = _bought(side, side, count, 44, 1 / 8)
    assert per_row * rows == count
    assert yards == pytest.approx(1.0)


def test_c34_seven_inch_squares_of_a_yard() -> None:
    # The same table prints 35; derived: 6 x 5 = 30, as 7 x 7 in is 49 in of 44
    assert _a_sheet(7, 44, 36) == 30


@pytest.mark.parametrize(("part", "printed", "right"), [(9, 14, 8), (18, 28, 24), (36, 56, 56)])
def test_c35_five_inch_squares_of_part_of_a_yard(part: float, printed: int, right: int) -> None:
    # docsbay.net/number-of-squares-from-a-fat-quarter halves 56 to 28 and 14; derived: a quarter
    # yard of 9 in holds one row of 8, a half yard three
    assert _a_sheet(5, 44, part) == right <= printed
    # 14 squares, which the chart promises of a quarter yard, take two rows and 3/8 yd.
    assert _bought(5, 5, 14, 44, 1 / 8)[3] == pytest.approx(3 / 8)


def test_c36_three_hundred_rectangles() -> None:
    # published: a guide, 13 a row, 24 rows, 48 in, 1 1/3 yd, buy 1 1/2
    per_row, rows, inches, yards = _bought(3, 2, 300, 40, 1 / 2)
    assert (per_row, rows) == (13, 24)
    assert inches == pytest.approx(48)
    assert inches / 36 == pytest.approx(4 / 3)
    assert yards == pytest.approx(1.5)
    assert yard_text(yards * YARD) == "1 1/2 yd"


def test_c37_sixty_three_squares() -> None:
    # published: www.quiltingboard.com/6228687-post7.html, 4 a width, 16 widths, 152 in, 4.222 yd
    per_row, rows, inches, yards = _bought(9.5, 9.5, 63, 42, 1 / 8)
    assert (per_row, rows) == (4, 16)
    assert inches == pytest.approx(152)
    assert inches / 36 == pytest.approx(4.2222, abs=1e-4)
    assert yards == pytest.approx(4.25)


def test_c38_two_hundred_squares() -> None:
    # published: www.oocities.com/quiltfrenzy_archives/hsquickcut.html, 12 a strip, 17 strips
    per_row, rows, inches, _ = _bought(3.5, 3.5, 200, 44, 1 / 8)
    assert (per_row, rows) == (12, 17)
    assert inches == pytest.approx(59.5)


def test_c39_a_path_of_hexagons() -> None:
    # published: faeriesandfibres.blogspot.ca/2014/03, 420 at 18 a strip of 2 1/2 in: 24 strips,
    # 60 in; 18 of 2 1/2 in need 45 in of fabric
    per_row, rows, inches, yards = _bought(2.5, 2.5, 420, 45, 1 / 8)
    assert (per_row, rows) == (18, 24)
    assert inches == pytest.approx(60)
    assert inches / 36 == pytest.approx(1.6667, abs=1e-4)
    assert yards == pytest.approx(1.75)


@pytest.mark.parametrize(("fabric", "count"), [(40, 16), (44, 17), (45, 18)])
def test_c40_two_and_a_half_inches_across_fabric(fabric: float, count: int) -> None:
    # published: 16 to 18, the page of C39
    assert _bought(2.5, 2.5, 1, fabric, 1 / 8)[0] == count


def test_c50_parts_of_a_yard() -> None:
    # exact: 1 in = 25.4 mm, 1 yd = 36 in. A page prints "1/8 yard = 4/5 in" and "2/3 = 25 in"
    # (quiltersresources.com/measurements.html): both are misprints of 4.5 and 24
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
    # www.oocities.com/quiltfrenzy_archives/hsquickcut.html: 96 hexagons at 12 a strip of 44 in;
    # derived: a hexagon 3 in across takes 14 a strip, so theirs is cautious and never short
    assert _bought(3, 3, 96, 44, 1 / 8)[0] == 14


def test_shrinkage_is_bought_before_the_wash() -> None:
    # derived: 1 yd after a loss of 5 % is 36 / 0.95 = 37.895 in before it, so 1 1/8 yd
    found = yardage([Cut(4 * INCH, 4 * INCH, 90)], Fabric(40 * INCH, YARD / 8, shrinkage=0.05))
    assert found.length == pytest.approx(YARD)
    assert found.before_wash == pytest.approx(36 / 0.95 * INCH)
    assert found.buy == pytest.approx(1.125 * YARD)
    assert found.leftover == pytest.approx((40.5 - 36 / 0.95) * INCH)


def test_spoilage_cuts_more_pieces() -> None:
    # derived: 100 and 10 % are 110, 11 rows of 10
    found = yardage([Cut(4 * INCH, 2 * INCH, 100)], Fabric(40 * INCH, YARD / 8, spoilage=0.1))
    assert (found.rows[0].count, found.rows[0].rows) == (110, 11)


def test_a_directional_print_is_not_turned() -> None:
    # derived: 40 pieces 3 in wide and 7 in long: 13 a row, 4 rows, 28 in; turned 5 a row, 8 rows,
    # 24 in
    tall = Cut(3 * INCH, 7 * INCH, 40, may_turn=True)
    free = yardage([tall], Fabric(40 * INCH))
    assert free.rows[0].turned
    assert free.length / INCH == pytest.approx(24)
    bound = yardage([tall], Fabric(40 * INCH, directional=True))
    assert not bound.rows[0].turned
    assert bound.length / INCH == pytest.approx(28)
