"""Patches against closed forms: every edge moved out by the allowance, corners mitred.

Lengths in inches unless a name says otherwise.
"""

import math

import pytest

from geometry.errors import AllowanceError
from geometry.measure import area
from geometry.model.outline import Outline
from geometry.model.segments import Arc
from geometry.offset.allowance import Corners, Patch, make_patch
from geometry.proof.allowance import measure_allowance
from geometry.shapes.catalogue import build
from geometry.units import MM_PER_INCH as INCH

QUARTER, THREE_EIGHTHS = 0.25, 0.375


def patch(kind: str, allowance: float, corners: Corners = Corners(), **inches: float) -> Patch:  # noqa: B008
    outline = build(kind, {name: size * INCH for name, size in inches.items()})
    return make_patch(outline, allowance * INCH, corners=corners)


def size(made: Patch) -> tuple[float, float, float]:
    box = made.outline.bounds
    return box.width / INCH, box.height / INCH, area(made.outline) / INCH**2


def longest_side(outline: Outline) -> float:
    return max(part.length for part in outline.segments) / INCH


def test_c05_c07_hexagon_quarter_inch() -> None:
    # derived: C2C 2 s + 4 a / sqrt 3; F2F sqrt(3) s + 2 a; side s + 2 a / sqrt 3
    made = patch("hexagon", QUARTER, side=1)
    width, height, square = size(made)
    assert width == pytest.approx(2.577350, abs=1e-6)
    assert height == pytest.approx(2.232051, abs=1e-6)
    assert longest_side(made.outline) == pytest.approx(1.288675, abs=1e-6)
    assert square == pytest.approx(4.314582, abs=1e-5)


def test_c06_hexagon_three_eighths() -> None:
    # published echo: a 2 1/2 in strip gives 3/8 in all round (an educator's page)
    width, height, _ = size(patch("hexagon", THREE_EIGHTHS, side=1))
    assert height == pytest.approx(2.482051, abs=1e-6)
    assert width == pytest.approx(2.866025, abs=1e-6)
    assert height == pytest.approx(2.5, abs=0.02)


@pytest.mark.parametrize(
    ("kind", "sides", "found"),
    [("hexagon", 6, 0.216506), ("square", 4, 0.176777), ("octagon", 8, 0.230970)],
)
def test_c08_c09_the_half_inch_rule_falls_short(kind: str, sides: int, found: float) -> None:
    # derived: a piece half an inch larger corner to corner has an allowance of 0.25 cos(180/n)
    template = build(kind, {"side": INCH})
    radius = math.hypot(*template.vertices[0].point)
    wider = Outline.of(
        [
            (v.x * (radius + 0.25 * INCH) / radius, v.y * (radius + 0.25 * INCH) / radius)
            for v in template.vertices
        ]
    )
    measured = measure_allowance(template, wider)
    assert measured.min_mm / INCH == pytest.approx(found, abs=1e-6)
    assert measured.max_mm / INCH == pytest.approx(0.25 * math.cos(math.pi / sides), abs=1e-6)


def test_c09_triangle_by_its_height() -> None:
    # derived: height + 1/2 in leaves a third of it at each side, 0.166667
    template = build("triangle", {"height": 2 * INCH})
    taller = build("triangle", {"height": 2.5 * INCH})
    assert measure_allowance(template, taller).min_mm / INCH == pytest.approx(0.166667, abs=1e-6)


def test_c10_c11_triangle() -> None:
    # "The Quilter's Bible": finished height + 3/4 in for 1/4 in; exact: + 3 a
    made = patch("triangle", QUARTER, side=1)
    _, height, square = size(made)
    assert height - math.sqrt(3) / 2 == pytest.approx(0.75, abs=1e-9)
    assert longest_side(made.outline) == pytest.approx(1.866025, abs=1e-5)
    assert square == pytest.approx(1.507772, abs=1e-5)


@pytest.mark.parametrize(
    ("kind", "side", "diagonal", "square"),
    [("diamond_60", 1.577350, 2.732051, 2.154701), ("diamond_45", 1.707107, 3.154322, 2.060660)],
)
def test_c12_c13_diamonds(kind: str, side: float, diagonal: float, square: float) -> None:
    made = patch(kind, QUARTER, side=1)
    assert longest_side(made.outline) == pytest.approx(side, abs=1e-5)
    assert size(made)[1] == pytest.approx(diagonal, abs=1e-5)
    assert size(made)[2] == pytest.approx(square, abs=1e-5)


def test_c14_half_hexagon() -> None:
    made = patch("half_hexagon", QUARTER, side=1)
    lengths = sorted(part.length / INCH for part in made.outline.segments)
    assert lengths == pytest.approx([1.288675, 1.577350, 1.577350, 2.866025], abs=1e-5)
    assert size(made)[2] == pytest.approx(2.837713, abs=1e-5)


@pytest.mark.parametrize(("kind", "side"), [("pentagon", 1.363271), ("octagon", 1.207107)])
def test_c16_c17_cut_sides(kind: str, side: float) -> None:
    assert longest_side(patch(kind, QUARTER, side=1).outline) == pytest.approx(side, abs=1e-5)


def test_c20_blunted_elongated_hexagon_fits_its_strip() -> None:
    # an educator's page cuts it from 2 1/4 x 4 1/4 in strips with 3/8 in all round
    made = patch("elongated_hexagon", THREE_EIGHTHS, Corners("blunt"), long_side=2, short_side=1)
    width, height, _ = size(made)
    assert (height, width) == pytest.approx((2.164214, 4.164214), abs=1e-5)
    assert height <= 2.25
    assert width <= 4.25


@pytest.mark.parametrize(
    ("tip", "tail"), [(60, 0.5), (45, 0.653281), (30, 0.965926), (18, 1.598113), (36, 0.809017)]
)
def test_c21_tails(tip: float, tail: float) -> None:
    # derived: a / sin(angle / 2)
    half = math.radians(tip) / 2
    wedge = Outline.of(
        [
            (0, 0),
            (100 * math.cos(half), -100 * math.sin(half)),
            (100 * math.cos(half), 100 * math.sin(half)),
        ]
    )
    made = make_patch(wedge, QUARTER * INCH, corners=Corners(limit=10.0))
    assert made.corners[0].tail / INCH == pytest.approx(tail, abs=1e-5)


def test_c22_clamshell() -> None:
    # box: 2 in clamshells on a 2 1/2 in strip (a hobbyist's page); area derived:
    # 2 r^2 + 2 pi r a + 4 a^2 with the tail cut flat
    made = patch("clamshell", QUARTER, width=2)
    width, height, square = size(made)
    assert (width, height) == pytest.approx((2.5, 2.5), abs=1e-5)
    assert square == pytest.approx(3.820796, abs=1e-5)
    arcs = [part for part in made.outline.segments if isinstance(part, Arc)]
    assert len(arcs) == 3
    assert len(made.outline.vertices) - 3 <= 7
    assert [corner.treatment for corner in made.corners].count("blunt") == 1
    assert len(made.warnings) == 1


def test_c23_clamshell_hollow_radius() -> None:
    made = patch("clamshell", QUARTER, width=2)
    radii = sorted(part.radius / INCH for part in made.outline.segments if isinstance(part, Arc))
    assert radii == pytest.approx([0.75, 0.75, 1.25], abs=1e-9)


def test_c24_a_used_up_hollow_is_refused() -> None:
    with pytest.raises(AllowanceError) as caught:
        patch("clamshell", QUARTER, width=0.5)
    assert caught.value.largest is not None
    largest = caught.value.largest
    assert largest == pytest.approx(6.35, abs=2e-3)
    template = build("clamshell", {"width": 0.5 * INCH})
    measured = measure_allowance(template, make_patch(template, largest).outline)
    assert measured.min_mm == pytest.approx(largest, abs=1e-3)


def test_c25_apple_core_fits_its_rectangle() -> None:
    # www.spunsugarquilt.com/2011/08: 4 in, 3/8 in allowance, rectangles of 4 x 5 in
    made = patch("apple_core", THREE_EIGHTHS, length=4)
    width, height, _ = size(made)
    assert height == pytest.approx(4.75, abs=1e-5)
    assert width <= 4.0
    corners = [v for v in made.outline.vertices if abs(abs(v.y) - abs(v.x)) < 0.5 * INCH]
    assert corners
    ends = [part for part in made.outline.segments if isinstance(part, Arc) and part.bulge > 0]
    assert all(part.radius / INCH == pytest.approx(2.375, abs=1e-9) for part in ends)


@pytest.mark.parametrize(
    ("kind", "name", "added"),
    [("half_square_triangle", "side", 0.853553), ("quarter_square_triangle", "base", 1.207107)],
)
def test_c48_triangles_of_the_square(kind: str, name: str, added: float) -> None:
    # the trade rounds these up to 7/8 and 1 1/4 in (two charts); exact values derived
    made = patch(kind, QUARTER, Corners(limit=10.0), **{name: 3})
    if kind == "half_square_triangle":
        cut = size(made)[0]
    else:
        cut = longest_side(made.outline)
    assert cut - 3 == pytest.approx(added, abs=1e-6)
    assert added <= {"side": 0.875, "base": 1.25}[name]


@pytest.mark.parametrize("share", [0.5, 0.87, 1.0, 1.7])
def test_notches_that_the_allowance_fills_are_not_measured(share: float) -> None:
    # derived: from 0.866 of the side on, rays from the edges of a flower's notch cross to
    # the far side, which runs parallel; the allowance is what it is all the same
    outline = build("hexagon_flower", {"side": 20.0, "rounds": 1.0})
    found = measure_allowance(outline, make_patch(outline, share * 20.0).outline)
    assert found.min_mm == pytest.approx(share * 20.0, abs=1e-6)
    assert found.max_mm == pytest.approx(share * 20.0, abs=1e-6)
    wide = measure_allowance(outline, make_patch(outline, share * 20.0 + 0.01).outline)
    assert wide.max_mm == pytest.approx(share * 20.0 + 0.01, abs=1e-6)
