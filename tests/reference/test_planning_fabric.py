"""Fabric, binding, backing and paper against published charts; wrong ones are named as such.

Addresses of makers' and people's own pages are left out; those sources are named by what they
are. "derived" means exact mathematics written out beside the value. Lengths in inches.
"""

import math

import pytest

from geometry.planning.cloth import Cut, Fabric
from geometry.planning.finishing import backing, batting, binding, grammage
from geometry.planning.pre_cuts import held_by
from geometry.planning.strips import fits
from geometry.planning.triangles import half_square_add, quarter_square_add
from geometry.planning.yardage import Yardage, yardage
from geometry.units import MM_PER_INCH as INCH
from geometry.units import parse_length, round_up, yard_text

YARD = 36 * INCH


def squares(size: float, width: float, length: float) -> int:
    cut = Cut(size * INCH, size * INCH, 1)
    held = held_by(cut, width * INCH, length * INCH, Fabric())
    return 0 if held is None else held.pieces


def bought(width: float, length: float, count: int, fabric: float, step: str) -> Yardage:
    cut = Cut(width * INCH, length * INCH, count)
    return yardage([cut], Fabric(fabric * INCH, parse_length(step)))


@pytest.mark.parametrize(
    ("size", "count"),
    [
        (2, 99),
        (2.5, 56),
        (3, 42),
        (3.5, 30),
        (4, 20),
        (4.5, 16),
        (5, 12),
        (5.5, 12),
        (6, 9),
        (6.5, 6),
    ],
)
def test_c32_squares_of_a_fat_quarter(size: float, count: int) -> None:
    # published: a handout on yardage and a quilting teacher's chart agree (a third list has
    # 55 of 2 1/2 in and 15 of 5 in: both wrong)
    assert squares(size, 18, 22) == count


@pytest.mark.parametrize(
    ("size", "count"), [(2.875, 42), (3.875, 20), (4.875, 12), (5.875, 9), (6.875, 6)]
)
def test_c32_squares_with_seven_eighths(size: float, count: int) -> None:
    # published: the teacher's chart
    assert squares(size, 18, 22) == count


@pytest.mark.parametrize(
    ("size", "count"),
    [
        (1, 1584),
        (2, 396),
        (2.5, 238),
        (3, 168),
        (3.5, 120),
        (4, 99),
        (4.5, 72),
        (5, 56),
        (6, 42),
        (6.5, 30),
    ],
)
def test_c33_squares_of_a_yard(size: float, count: int) -> None:
    # published: the teacher's chart for a yard of 44 in (its heading says 42; the counts say 44)
    assert squares(size, 44, 36) == count


def test_c34_squares_of_seven_inches() -> None:
    # published: 35, which is wrong; derived: floor(44 / 7) x floor(36 / 7) = 6 x 5
    assert squares(7, 44, 36) == 30


def test_c35_a_quarter_yard_is_not_a_quarter_of_the_chart() -> None:
    # published: 14, a quarter of the yard's 56; derived: one row of 8, the yard being 9 in
    assert squares(5, 44, 9) == 8


def test_c36_rectangles_in_rows() -> None:
    # published: an extension service's worked example, 1 1/3 yd, buy 1 1/2
    found = bought(3, 2, 300, 40, "1/2 yd")
    assert (found.rows[0].per_row, found.rows[0].rows) == (13, 24)
    assert found.length == pytest.approx(48 * INCH)
    assert found.length / YARD == pytest.approx(1.3333, abs=1e-4)
    assert found.buy == pytest.approx(1.5 * YARD)
    assert found.unused == pytest.approx(6 * INCH)


def test_c37_large_squares() -> None:
    # published: 4 a width, 16 widths, 152 in, 4.222 yd (the text's "9.5 x 4 = 37" is 38)
    found = bought(9.5, 9.5, 63, 42, "1/8 yd")
    assert (found.rows[0].per_row, found.rows[0].rows) == (4, 16)
    assert found.length == pytest.approx(152 * INCH)
    assert found.length / YARD == pytest.approx(4.2222, abs=1e-4)
    assert found.buy == pytest.approx(4.25 * YARD)


def test_c38_squares_in_strips() -> None:
    # published: 200 squares, 12 a strip, 17 strips
    found = bought(3.5, 3.5, 200, 44, "1/8 yd")
    assert (found.rows[0].per_row, found.rows[0].rows) == (12, 17)
    assert found.length == pytest.approx(59.5 * INCH)


def test_c38_a_hundred_squares() -> None:
    # published: 100 pieces of 3 1/2 in from 44 in: 12 a strip, 9 strips
    found = bought(3.5, 3.5, 100, 44, "1/8 yd")
    assert (found.rows[0].per_row, found.rows[0].rows) == (12, 9)


def test_c39_a_path_of_hexagons() -> None:
    # published: 420 hexagons at 18 to a 2 1/2 in strip, 24 strips (18 need 45 in of width)
    found = bought(2.5, 2.5, 420, 45, "1/8 yd")
    assert (found.rows[0].per_row, found.rows[0].rows) == (18, 24)
    assert found.length == pytest.approx(60 * INCH)
    assert found.length / YARD == pytest.approx(1.6667, abs=1e-4)
    assert found.buy == pytest.approx(1.75 * YARD)
    assert yard_text(found.buy) == "1 3/4 yd"


def test_c40_pieces_across_a_width() -> None:
    # published: 16 to 18 pieces of 2 1/2 in; derived: floor(width / 2.5)
    assert [fits(width * INCH, 2.5 * INCH) for width in (40, 44, 45)] == [16, 17, 18]


def test_c45_binding_to_a_quarter_yard() -> None:
    # published: 66 x 58, 248 + 20 = 268 in, / 40 = 6.7: 7 strips of 2 1/2 in, half a yard
    found = binding(
        66 * INCH,
        58 * INCH,
        strip=2.5 * INCH,
        usable=40 * INCH,
        extra=20 * INCH,
        fabric=Fabric(step=9 * INCH),
    )
    assert found.length == pytest.approx(268 * INCH)
    assert found.strips == 7
    assert found.fabric_length == pytest.approx(17.5 * INCH)
    assert found.fabric_length / YARD == pytest.approx(0.4861, abs=1e-4)
    assert found.buy == pytest.approx(0.5 * YARD)


def test_c46_binding_of_a_lap_quilt() -> None:
    # published: 54 x 60, 228 + 10 = 238 in, / 42 = 5.67: 6 strips
    found = binding(
        54 * INCH, 60 * INCH, strip=64.0, usable=42 * INCH, extra=10 * INCH, fabric=Fabric()
    )
    assert found.length == pytest.approx(238 * INCH)
    assert found.strips == 6


def test_c47_backing_four_inches_larger_all_round() -> None:
    # published: 60 x 70 takes 68 x 78
    found = backing(
        60 * INCH,
        70 * INCH,
        extra_each_side=4 * INCH,
        usable=43 * INCH,
        join=0.0,
        seams="lengthwise",
        fabric=Fabric(),
    )
    assert (found.width / INCH, found.length / INCH) == pytest.approx((68, 78))
    assert found.chosen.panels == 2
    assert batting(60 * INCH, 70 * INCH, extra_each_side=4 * INCH) == pytest.approx(
        (68 * INCH, 78 * INCH)
    )


@pytest.mark.parametrize(("width", "panels", "yards"), [(40, 1, 1.5), (80, 2, 3.0)])
def test_c47_panels_of_a_backing(width: float, panels: int, yards: float) -> None:
    # published: 40 x 54 takes 1 1/2 yd, 80 x 54 takes 3 yd, of 43 in usable
    found = backing(
        width * INCH,
        54 * INCH,
        extra_each_side=0.0,
        usable=43 * INCH,
        join=0.0,
        seams="lengthwise",
        fabric=Fabric(),
    ).chosen
    assert found.panels == panels
    assert found.buy == pytest.approx(yards * YARD)


def test_c47_joins_take_their_allowance_when_it_is_stated() -> None:
    # derived: two panels of 40 in with 1/2 in joins are 79 in wide
    def panels(wide: float) -> int:
        return backing(
            wide * INCH,
            54 * INCH,
            extra_each_side=0.0,
            usable=40 * INCH,
            join=INCH / 2,
            seams="lengthwise",
            fabric=Fabric(),
        ).chosen.panels

    assert [panels(40), panels(79), panels(79.1)] == [1, 2, 3]


def test_c48_squares_cut_into_triangles() -> None:
    # derived: a (2 + sqrt 2) and 2 a (1 + sqrt 2); published: 7/8 and 1 1/4 in, rounded up
    assert half_square_add(0.25 * INCH) / INCH == pytest.approx(0.853553, abs=1e-6)
    assert quarter_square_add(0.25 * INCH) / INCH == pytest.approx(1.207107, abs=1e-6)
    assert half_square_add(0.25) <= 7 / 8
    assert quarter_square_add(0.25) <= 5 / 4


@pytest.mark.parametrize(("block", "square"), [(12, 9.375), (6, 5.125)])
def test_c49_corners_of_blocks_on_point(block: float, square: float) -> None:
    # published: the handout's block / 1.414 + 7/8, rounded up to 1/8
    cut = block * INCH / math.sqrt(2) + half_square_add(0.25 * INCH)
    assert round_up(cut, INCH / 8) / INCH == pytest.approx(square, abs=1e-9)


def test_c50_yards_in_millimetres() -> None:
    # exact: the international yard, 1959
    assert parse_length("1/8 yd") == pytest.approx(114.3, abs=1e-9)
    assert parse_length("1/8 yd") / INCH == pytest.approx(4.5, abs=1e-12)
    assert parse_length("1 yd") == 914.4


@pytest.mark.parametrize(
    ("pounds", "grade", "grams"),
    [(65, "cover", 175.8), (110, "index", 198.9), (20, "bond", 75.2), (80, "cover", 216.3)],
)
def test_c52_weights_of_paper(pounds: float, grade: str, grams: float) -> None:
    # derived: lb x 453.592 / (500 x sheet area); published echoes: 75.2, 199 and 216 g/m2
    assert grammage(pounds, grade) == pytest.approx(grams, abs=0.1)
