"""Beds, binding, backing, corners and papers against published examples."""

import math

import pytest

from geometry.planning import beds
from geometry.planning.finishing import backing, batting, binding, grammage
from geometry.planning.yardage import (
    Fabric,
    half_square_add,
    on_point_corner,
    quarter_square_add,
)
from geometry.units import MM_PER_INCH as INCH

YARD = 36 * INCH


@pytest.mark.parametrize(
    ("bed", "width", "length"),
    # published twice: teaching slides on yardage (all four) and
    # ciaspalette.com/categories/mattresses.html (twin, worked)
    [("twin", 63, 87), ("full", 78, 87), ("queen", 84, 92), ("king", 100, 92)],
)
def test_c44_quilts_with_a_drop_of_twelve_inches(bed: str, width: float, length: float) -> None:
    found = beds.quilt_size(*beds.mattress(bed), drop=beds.usual_drop(bed), tuck=0.0)
    assert [each / INCH for each in found] == pytest.approx([width, length])


def test_c44_a_tuck_lengthens_and_a_drop_widens() -> None:
    # derived: width + 2 drops, length + drop + tuck
    found = beds.quilt_size(60 * INCH, 80 * INCH, drop=10 * INCH, tuck=14 * INCH)
    assert [each / INCH for each in found] == pytest.approx([80, 104])


def test_c51_the_inside_of_a_full_size_crib() -> None:
    # published: US Consumer Product Safety Commission, Crib Mattresses FAQ (16 CFR 1241):
    # 28 x 52 3/8 in, each 5/8 in more or less; 711 x 1330 mm, 16 mm
    width, length = beds.mattress("crib")
    assert (width / INCH, length / INCH) == pytest.approx((28, 52.375))
    assert (round(width), round(length)) == (711, 1330)
    assert round(5 / 8 * INCH) == 16


def test_c45_binding_of_66_by_58() -> None:
    # published: a guide in quarter-yard steps: 248 + 20 = 268, 6.7 so 7 strips of 2 1/2 in,
    # 17.5 in = 0.4861 yd, to 1/2 yd
    found = binding(
        66 * INCH,
        58 * INCH,
        strip=2.5 * INCH,
        usable=40 * INCH,
        extra=20 * INCH,
        fabric=Fabric(step=YARD / 4),
    )
    assert found.length / INCH == pytest.approx(268)
    assert found.strips == 7
    assert found.fabric_length / INCH == pytest.approx(17.5)
    assert found.fabric_length / YARD == pytest.approx(0.4861, abs=1e-4)
    assert found.buy / YARD == pytest.approx(0.5)
    assert found.leftover / INCH == pytest.approx(0.5)


def test_c46_binding_of_54_by_60() -> None:
    # published: a guide: 228 + 10 = 238, 5.67 of 42 in, 6 strips
    found = binding(
        54 * INCH,
        60 * INCH,
        strip=2.5 * INCH,
        usable=42 * INCH,
        extra=10 * INCH,
        fabric=Fabric(step=YARD / 8),
    )
    assert found.length / INCH == pytest.approx(238)
    assert found.strips == 6


def _backing(width: float, length: float, extra: float, usable: float) -> tuple[float, ...]:
    found = backing(
        width * INCH,
        length * INCH,
        extra_each_side=extra * INCH,
        usable=usable * INCH,
        join=0.0,
        seams="lengthwise",
        fabric=Fabric(usable * INCH, YARD / 8),
    )
    chosen = found.chosen
    return (
        found.width / INCH,
        found.length / INCH,
        chosen.panels,
        chosen.fabric_length / INCH,
        chosen.buy / YARD,
    )


def test_c47_backing_of_60_by_70() -> None:
    # published: gulfcoastmakers.com/mosaicism, 8 in more both ways: 68 x 78
    assert _backing(60, 70, 4, 40)[:2] == pytest.approx((68, 78))
    assert [each / INCH for each in batting(60 * INCH, 70 * INCH, extra_each_side=4 * INCH)] == (
        pytest.approx([68, 78])
    )


@pytest.mark.parametrize(
    ("width", "panels", "yards"),
    # published: ourpastimes.com/figure-much-binding-backing-quilt-5943762.html, 43 in usable:
    # 40 x 54 takes 1 1/2 yd, 80 x 54 takes 3 yd
    [(40, 1, 1.5), (80, 2, 3.0)],
)
def test_c47_panels_of_a_backing(width: float, panels: int, yards: float) -> None:
    found = _backing(width, 54, 0, 43)
    assert found[2:] == pytest.approx((panels, 54 * panels, yards))


def test_c47_a_formula_in_circulation_is_no_length_at_all() -> None:
    # "square inches / 36" as yards: 60 x 70 in would take 147 yd with 4 in more on each side;
    # derived: two panels of 78 in are 4 1/3 yd
    assert pytest.approx(147.3, abs=0.1) == 68 * 78 / 36
    assert _backing(60, 70, 4, 40)[3] / 36 == pytest.approx(13 / 3)


def test_c48_squares_for_triangles() -> None:
    # published: +7/8 and +1 1/4 in (docsbay.net/number-of-squares-from-a-fat-quarter);
    # derived: a (2 + sqrt 2) and 2 a (1 + sqrt 2), which the trade rounds up
    half, quarter = (add(INCH / 4) / INCH for add in (half_square_add, quarter_square_add))
    assert half == pytest.approx(0.853553, abs=1e-6)
    assert quarter == pytest.approx(1.207107, abs=1e-6)
    assert math.ceil(half * 8) / 8 == 7 / 8
    assert math.ceil(quarter * 8) / 8 == 1.25


@pytest.mark.parametrize(("block", "square"), [(12, 9.375), (6, 5.125)])
def test_c49_corners_of_blocks_on_point(block: float, square: float) -> None:
    # published: the same handout, block / 1.414 + 7/8: 9 3/8 and 5 1/8 in
    found = on_point_corner(block * INCH, INCH / 4, INCH / 8)
    assert found / INCH == pytest.approx(square)


@pytest.mark.parametrize(
    ("pounds", "grade", "grams"),
    # published: 75.2 (a paper merchant's table) and 199 (a printer's notes); derived:
    # lb x 453.592 / (500 x sheet in m2), ISO 536 defines grammage
    [(65, "cover", 175.8), (110, "index", 198.9), (20, "bond", 75.2)],
)
def test_c52_papers(pounds: float, grade: str, grams: float) -> None:
    assert grammage(pounds, grade) == pytest.approx(grams, abs=0.1)
