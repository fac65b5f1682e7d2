"""Finished sizes of the catalogue against closed forms and published echoes of them.

"derived" means exact mathematics from the shape's definition, written out beside the value.
Lengths in inches unless a name says otherwise.
"""

import math
from typing import Any

import pytest

from geometry.measure import area, centroid, perimeter, sharp_angles_deg
from geometry.model.outline import Outline
from geometry.shapes.catalogue import CATALOGUE, build, shares_edge_with
from geometry.units import MM_PER_INCH as INCH

ROOT2, ROOT3 = math.sqrt(2), math.sqrt(3)


def made(kind: str, **inches: float) -> Outline:
    return build(kind, {name: size * INCH for name, size in inches.items()})


def square_inches(outline: Outline) -> float:
    return area(outline) / INCH**2


def test_c01_hexagon_across_flats() -> None:
    # derived: sqrt(3) s
    assert made("hexagon", side=1).bounds.height / INCH == pytest.approx(1.732051, abs=1e-6)
    assert made("hexagon", side=1).bounds.height == pytest.approx(43.994, abs=5e-4)


def test_c02_hexagon_across_corners() -> None:
    # derived: 2 s; published echo: 6 in corner to corner is 3 in a side ("Hexagon Star Quilts")
    assert made("hexagon", side=1).bounds.width / INCH == pytest.approx(2.0, abs=1e-9)
    assert made("hexagon", side=3).bounds.width / INCH == pytest.approx(6.0, abs=1e-9)


def test_c03_hexagon_area() -> None:
    # derived: 3 sqrt(3) / 2 s^2
    assert square_inches(made("hexagon", side=1)) == pytest.approx(2.598076, abs=1e-6)
    assert area(made("hexagon", side=1)) == pytest.approx(1676.17, abs=5e-3)


def test_c04_hexagon_area_published() -> None:
    # quiltingreadersgarden.blogspot.com/2018/04: a hexagon of side 2.5 in has 16.24 in^2
    assert square_inches(made("hexagon", side=2.5)) == pytest.approx(16.24, abs=5e-3)


def test_c15_jewel() -> None:
    # derived: hexagon and triangle of the same side (the name varies by maker: memory)
    jewel = made("jewel", side=1)
    assert square_inches(jewel) == pytest.approx(3.031089, abs=1e-5)
    assert sorted(sharp_angles_deg(jewel)) == pytest.approx([60, 120, 120, 120, 120], abs=1e-9)


def test_c16_pentagon() -> None:
    # derived: height s / 2 tan 72 degrees; area sqrt(25 + 10 sqrt 5) / 4 s^2
    pentagon = made("pentagon", side=1)
    assert pentagon.bounds.height / INCH == pytest.approx(1.538842, abs=1e-5)
    assert square_inches(pentagon) == pytest.approx(1.720477, abs=1e-5)


def test_c17_octagon() -> None:
    # derived: (1 + sqrt 2) s; sqrt(4 + 2 sqrt 2) s; 2 (1 + sqrt 2) s^2
    octagon = made("octagon", side=1)
    assert octagon.bounds.height / INCH == pytest.approx(2.414214, abs=1e-5)
    corner = octagon.vertices[0].point
    assert 2 * math.hypot(*corner) / INCH == pytest.approx(2.613126, abs=1e-5)
    assert square_inches(octagon) == pytest.approx(4.828427, abs=1e-5)


def test_c18_six_kites_are_a_hexagon() -> None:
    kite = square_inches(made("kite", side=1))
    assert kite == pytest.approx(0.433013, abs=1e-6)
    assert 6 * kite == pytest.approx(2.598076, abs=1e-6)


def test_c19_elongated_hexagon() -> None:
    # sizes 2 and 1 in, right angle at the tips: an educator's page; values derived
    shape = made("elongated_hexagon", long_side=2, short_side=1)
    assert shape.bounds.height / INCH == pytest.approx(1.414214, abs=1e-5)
    assert shape.bounds.width / INCH == pytest.approx(3.414214, abs=1e-5)
    assert square_inches(shape) == pytest.approx(3.828427, abs=1e-5)


def test_c23_clamshell_area() -> None:
    # derived: 2 r^2, r half the width
    assert square_inches(made("clamshell", width=2)) == pytest.approx(2.0, abs=1e-9)


def test_c26_apple_core() -> None:
    # www.patchworkposse.com/make-apple-core-template: drawn from a 5 1/2 in circle
    core = made("apple_core", radius=2.75)
    assert core.bounds.height / INCH == pytest.approx(5.5, abs=1e-9)
    assert core.bounds.width / INCH == pytest.approx(3.889087, abs=1e-5)
    hollow = [part for part in core.segments if part.bulge < 0]
    waist = math.dist(*(part.point_at(0.5) for part in hollow)) / INCH
    assert waist == pytest.approx(2.278175, abs=1e-5)
    assert square_inches(core) == pytest.approx(15.125, abs=1e-5)


def test_c27_orange_peel() -> None:
    # derived: width (2 - sqrt 2) r, area (pi / 2 - 1) r^2
    petal = made("petal", square=1)
    assert petal.bounds.width / INCH == pytest.approx(0.585786, abs=1e-6)
    assert square_inches(petal) == pytest.approx(0.570796, abs=1e-6)


def test_c31_stars_tip_to_tip() -> None:
    # derived: six 60-degree diamonds 2 sqrt(3) s; eight 45-degree ones 2 sqrt(2 + sqrt 2) s
    for kind, tips in (("diamond_60", 3.464102), ("diamond_45", 3.695518)):
        long_diagonal = made(kind, side=1).bounds.height / INCH
        assert 2 * long_diagonal == pytest.approx(tips, abs=1e-6)


#: derived, from the handbook of shapes: area, width and height for a size of 1
CLOSED_FORMS: dict[str, tuple[dict[str, Any], float, float, float]] = {
    "triangle": ({"side": 1}, ROOT3 / 4, 1, ROOT3 / 2),
    "square": ({"across_corners": ROOT2}, 1, 1, 1),
    "diamond_60": ({"side": 1}, ROOT3 / 2, 1, ROOT3),
    "diamond_45": ({"side": 1}, 1 / ROOT2, 0.76536686, 1.84775907),
    "half_hexagon": ({"side": 1}, 3 * ROOT3 / 4, 2, ROOT3 / 2),
    "half_hexagon_flat": ({"side": 1}, 3 * ROOT3 / 4, 1, ROOT3),
    "hexagon_third": ({"side": 1}, ROOT3 / 2, 1.5, ROOT3 / 2),
    "octagon_kite": ({"side": 1}, 0.60355339, 0.92387953, 1.30656296),
    "honeycomb": ({"side": 1}, 1 + ROOT2, 1 + ROOT2, ROOT2),
    "elongated_hexagon_120": ({"long_side": 2, "side": 1}, 2.5 * ROOT3, 3, ROOT3),
    "half_square_triangle": ({"side": 2}, 2, 2, 2),
    "quarter_square_triangle": ({"base": 2}, 1, 2, 1),
    "tumbler": ({"top_width": 3, "bottom_width": 2, "height": 3.5}, 8.75, 3, 3.5),
    "rosette_petal": ({"length": 1}, math.pi / 3 - ROOT3 / 2, 2 - ROOT3, 1),
    "circle": ({"diameter": 2}, math.pi, 2, 2),
}


@pytest.mark.parametrize("kind", sorted(CLOSED_FORMS))
def test_closed_forms(kind: str) -> None:
    sizes, square, width, height = CLOSED_FORMS[kind]
    shape = made(kind, **sizes)
    assert square_inches(shape) == pytest.approx(square, rel=1e-7)
    assert shape.bounds.width / INCH == pytest.approx(width, rel=1e-7)
    assert shape.bounds.height / INCH == pytest.approx(height, rel=1e-7)


def test_dresden_blade_area() -> None:
    # derived: (R^2 - r^2) tan(180 / n)
    blade = build("dresden_blade", {"blades": 20, "outer_radius": 200.0, "inner_radius": 50.0})
    assert area(blade) == pytest.approx((200**2 - 50**2) * math.tan(math.radians(9)), rel=1e-12)


def test_flower_is_its_hexagons() -> None:
    # derived: 1 + 3 k (k + 1) hexagons; 12 k + 6 edges outside
    for rounds in (1, 2, 3):
        flower = build("hexagon_flower", {"rounds": rounds, "side": 10.0})
        count = 1 + 3 * rounds * (rounds + 1)
        assert area(flower) == pytest.approx(count * 1.5 * ROOT3 * 100, rel=1e-12)
        assert len(flower.vertices) == 12 * rounds + 6
        assert perimeter(flower) == pytest.approx((12 * rounds + 6) * 10, rel=1e-12)


def test_clamshell_centroid() -> None:
    # derived: half disc r^2 pi/2 at 4r/(3 pi), less the hollows of the square below it
    shell = build("clamshell", {"width": 2.0})
    half_disc, square, quarter = math.pi / 2, 2.0, math.pi / 4
    below = square * -0.5 - 2 * quarter * (-1 + 4 / (3 * math.pi))
    expected = (half_disc * 4 / (3 * math.pi) + below) / 2.0
    assert centroid(shell).y == pytest.approx(expected, abs=1e-12)


def test_edges_are_shared_where_the_trade_says_so() -> None:
    # drafting pages: a hexagon is six triangles, three 60-degree diamonds, two half hexagons
    assert {"triangle", "diamond_60", "half_hexagon", "square", "jewel"} <= set(
        shares_edge_with("hexagon")
    )
    assert "apple_core" in shares_edge_with("clamshell")
    assert "hexagon" not in shares_edge_with("clamshell")


def test_every_way_of_sizing_gives_the_same_shape() -> None:
    measures: dict[str, dict[str, float]] = {
        "hexagon": {"side": 1, "across_flats": ROOT3, "across_corners": 2},
        "octagon": {"side": 1, "across_flats": 1 + ROOT2, "across_corners": 2.613125930},
        "pentagon": {"side": 1, "height": 1.538841769, "across_corners": 1.618033989},
        "diamond_60": {
            "side": 1,
            "across_sides": ROOT3 / 2,
            "long_diagonal": ROOT3,
            "short_diagonal": 1,
        },
        "jewel": {"side": 1, "width": 2, "length": 1.5 * ROOT3},
        "half_hexagon": {"side": 1, "long_base": 2, "height": ROOT3 / 2},
        "kite": {"side": 1, "length": 1},
        "octagon_kite": {"side": 1, "length": 1.306562965},
        "half_square_triangle": {"side": 1, "long_side": ROOT2},
        "quarter_square_triangle": {"base": ROOT2, "short_side": 1},
        "circle": {"diameter": 2, "radius": 1},
        "apple_core": {"radius": 1, "length": 2, "corner_width": ROOT2},
        "petal": {"square": 1, "length": ROOT2},
        "honeycomb": {"side": 1, "width": ROOT2, "length": 1 + ROOT2},
    }
    for kind, sizes in measures.items():
        areas = [square_inches(made(kind, **{name: size})) for name, size in sizes.items()]
        assert areas == pytest.approx([areas[0]] * len(areas), rel=1e-8), kind


def test_catalogue_is_complete() -> None:
    assert len(CATALOGUE) >= 24
    for kind in CATALOGUE.values():
        assert set(kind.example) <= {parameter.name for parameter in kind.parameters}
