"""Published and derived check values of the trade, asked of the service as a caller would.

Derived unless a source is named: exact mathematics, s the finished side, a the allowance. C32 and
C35 stand in test_fat_quarters, C36 to C39 in test_yardage_orders, C42 in test_quilt_to_kit, C44 in
test_bed_sizes, C45 to C47 in test_finishing; the others from C08 to C51 here.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio
from tests.short_form import few

INCH = 25.4
#: Name, shape, allowance, corners.
PIECES: dict[str, tuple[dict[str, Any], str, str]] = {
    "hexagon": ({"kind": "hexagon", "side": 1}, "1/4", ""),
    "hexagon-150": ({"kind": "hexagon", "side": "1 1/2"}, "1/4", ""),
    "hexagon-by-corners": ({"kind": "hexagon", "side": 1}, "0.21650635", ""),
    "square-by-corners": ({"kind": "square", "side": 1}, "0.1767767", ""),
    "octagon-by-corners": ({"kind": "octagon", "side": 1}, "0.23096988", ""),
    "triangle-by-height": ({"kind": "triangle", "side": 1}, "0.16666667", ""),
    "triangle": ({"kind": "triangle", "side": 1}, "1/4", ""),
    "diamond-60": ({"kind": "diamond_60", "side": 1}, "1/4", ""),
    "diamond-45": ({"kind": "diamond_45", "side": 1}, "1/4", ""),
    "diamond-30": ({"kind": "star_diamond", "points": 12, "side": 1}, "1/4", ""),
    "half-hexagon": ({"kind": "half_hexagon", "side": 1}, "1/4", ""),
    "jewel": ({"kind": "jewel", "side": 1}, "1/4", ""),
    "pentagon": ({"kind": "pentagon", "side": 1}, "1/4", ""),
    "octagon": ({"kind": "octagon", "side": 1}, "1/4", ""),
    "kite": ({"kind": "kite", "side": 1}, "1/4", ""),
    "long": ({"kind": "elongated_hexagon", "long_side": 2, "short_side": 1}, "3/8", "blunt"),
    "clamshell": ({"kind": "clamshell", "width": 2}, "1/4", ""),
    "apple-core": ({"kind": "apple_core", "length": 4}, "3/8", "blunt"),
    "apple-core-275": ({"kind": "apple_core", "radius": "2 3/4"}, "3/8", ""),
    "petal": ({"kind": "petal", "square": 1}, "1/4", ""),
}


@pytest.fixture(scope="module")
def pieces(studio: Studio) -> dict[str, Any]:
    """Return template, patch and allowance of every piece, in one request."""
    asked = [
        {
            "id": name,
            "shape": shape,
            "seam_allowance": allowance,
            **({"corners": {"kind": corners}} if corners else {}),
        }
        for name, (shape, allowance, corners) in PIECES.items()
    ]
    found = studio.calculated("/v1/outlines", {"units": "in", "pieces": asked})["pieces"]
    return {each["id"]: each for each in found}


def _box(piece: dict[str, Any], part: str) -> list[float]:
    """Return the shorter and the longer side of the box, in."""
    return sorted(piece[part][side] / INCH for side in ("width_mm", "height_mm"))


#: Piece, part, measure, value.
MEASURES = [
    # C08: corner to corner + 1/2 in gives a hexagon 0.2165 in; C09: the same mistake elsewhere.
    ("hexagon-by-corners", "patch", "longer", 2.5),
    ("square-by-corners", "patch", "diagonal", math.sqrt(2) + 0.5),
    ("octagon-by-corners", "patch", "across_corners", 2.613126 + 0.5),
    ("triangle-by-height", "patch", "shorter", 0.866025 + 0.5),
    # C10 and C11.
    ("triangle", "patch", "shorter", 0.866025 + 0.75),
    ("triangle", "patch", "side", 1.866025),
    ("triangle", "patch", "area", 1.507772),
    # C12 to C14.
    ("diamond-60", "patch", "side", 1.577350),
    ("diamond-60", "patch", "longer", 2.732051),
    ("diamond-60", "patch", "area", 2.154701),
    ("diamond-45", "patch", "side", 1.707107),
    ("diamond-45", "patch", "longer", 3.154322),
    ("diamond-45", "patch", "area", 2.060660),
    ("half-hexagon", "patch", "longer", 2.866025),
    ("half-hexagon", "patch", "perimeter", 2.866025 + 2 * 1.577350 + 1.288675),
    ("half-hexagon", "patch", "area", 2.837713),
    # C15 to C19.
    ("jewel", "template", "area", 3.031089),
    ("pentagon", "template", "shorter", 1.538842),
    ("pentagon", "template", "area", 1.720477),
    ("pentagon", "patch", "side", 1.363271),
    ("octagon", "template", "shorter", 2.414214),
    ("octagon", "template", "across_corners", 2.613126),
    ("octagon", "template", "area", 4.828427),
    ("octagon", "patch", "side", 1.207107),
    ("kite", "template", "area", 0.433013),
    ("long", "template", "shorter", 1.414214),
    ("long", "template", "longer", 3.414214),
    ("long", "template", "area", 3.828427),
    # C20: published, fits strips of 2 1/4 and 4 1/4 in (an educator's pattern).
    ("long", "patch", "shorter", 2.164214),
    ("long", "patch", "longer", 4.164214),
    # C22, C23: a 2 in clamshell fits a 2 1/2 in strip (published).
    ("clamshell", "patch", "shorter", 2.5),
    ("clamshell", "patch", "longer", 2.5),
    ("clamshell", "patch", "area", 3.820796),
    ("clamshell", "template", "area", 2.0),
    # C25: published rectangle of 4 x 5 in; C26: published circle of 5 1/2 in; C27.
    ("apple-core", "patch", "longer", 4.75),
    ("apple-core", "patch", "shorter", 3.578427),
    ("apple-core-275", "template", "shorter", 3.889087),
    ("apple-core-275", "template", "area", 15.125),
    ("petal", "template", "shorter", 0.585786),
    ("petal", "template", "area", 0.570796),
]


def _measure(piece: dict[str, Any], part: str, what: str) -> float:
    outline = piece[part]
    if what == "area":
        return float(outline["area_mm2"]) / INCH**2
    if what == "perimeter":
        return float(outline["perimeter_mm"]) / INCH
    if what == "side":
        return float(outline["perimeter_mm"]) / INCH / len(outline["outline"])
    if what == "diagonal":
        return math.hypot(*_box(piece, part))
    if what == "across_corners":
        return 2.0 * max(math.hypot(x, y) for x, y, _ in outline["outline"]) / INCH
    return _box(piece, part)[0 if what == "shorter" else 1]


@pytest.mark.parametrize(("name", "part", "what", "value"), MEASURES)
def test_c08_to_c27_outlines(
    pieces: dict[str, Any], name: str, part: str, what: str, value: float
) -> None:
    """Sizes, sides and areas of templates and patches, in inches."""
    assert _measure(pieces[name], part, what) == pytest.approx(value, abs=1e-5)


def _hollow_arcs(piece: dict[str, Any], part: str) -> list[tuple[float, float]]:
    """Return radius and depth of every hollow arc, in: its bulge is tan of a quarter of its turn.

    Chord c, bulge b: depth c b / 2, radius c (1 + b^2) / (4 b).
    """
    rows = piece[part]["outline"]
    found = []
    for (x, y, bulge), (to_x, to_y, _) in zip(rows, [*rows[1:], rows[0]], strict=True):
        if bulge < 0.0:
            chord, hollow = math.hypot(to_x - x, to_y - y) / INCH, -bulge
            found.append((chord * (1.0 + hollow**2) / (4.0 * hollow), chord * hollow / 2.0))
    return found


def test_c18_six_kites_c23_hollow_arcs_and_c26_waist(pieces: dict[str, Any]) -> None:
    """Six kites are a hexagon; a clamshell's hollow arcs are cut at r - a; a waist of 2.278175."""
    area = {name: pieces[name]["template"]["area_mm2"] for name in ("kite", "hexagon")}
    assert 6 * area["kite"] == pytest.approx(area["hexagon"], rel=1e-9)
    radii = [radius for radius, _ in _hollow_arcs(pieces["clamshell"], "patch")]
    assert radii == pytest.approx([0.75, 0.75], abs=1e-9)
    depths = [depth for _, depth in _hollow_arcs(pieces["apple-core-275"], "template")]
    width = _box(pieces["apple-core-275"], "template")[0]
    assert len(depths) == 2
    assert width - sum(depths) == pytest.approx(2.278175, abs=1e-6)


def test_c15_angles_and_c21_tails(pieces: dict[str, Any]) -> None:
    """A jewel has one angle of 60 and four of 120; tails are a / sin(half the angle)."""
    angles = sorted(pieces["jewel"]["template"]["corner_angles_deg"])
    assert angles == pytest.approx([60, 120, 120, 120, 120])
    tails = {"triangle": 0.5, "diamond-45": 0.653281, "diamond-30": 0.965926}
    for name, tail in tails.items():
        corners = pieces[name]["allowance"]["corners"]
        assert max(each["tail_mm"] for each in corners) / INCH == pytest.approx(tail, abs=1e-5)


def test_c24_a_hollow_arc_needs_a_radius(studio: Studio) -> None:
    """A clamshell of 1/2 in has hollow arcs of 1/4 in: r - a = 0, which cannot be sewn."""
    piece = {"id": "c", "shape": {"kind": "clamshell", "width": "1/2"}, "seam_allowance": "1/4"}
    body = {"units": "in", "pieces": [piece]}
    (error,) = studio.refused(body, "/v1/outlines")["errors"]
    assert error["pointer"].startswith("#/pieces/0")


def test_c28_flowers_and_c31_stars(studio: Studio, pieces: dict[str, Any]) -> None:
    """1, 7, 19 ... hexagons (published for the first three); stars are two diamonds across."""
    asked = [
        {"id": f"f{rounds}", "shape": {"kind": "hexagon_flower", "rounds": rounds, "side": 1}}
        for rounds in range(1, 7)
    ]
    found = studio.calculated("/v1/outlines", {"units": "in", "pieces": asked})["pieces"]
    one = pieces["hexagon"]["template"]["area_mm2"]
    counts = [each["template"]["area_mm2"] / one for each in found]
    assert counts == pytest.approx([7, 19, 37, 61, 91, 127])
    across = [2.0 * _box(pieces[name], "template")[1] for name in ("diamond-60", "diamond-45")]
    assert across == pytest.approx([3.464102, 3.695518], abs=1e-5)


@pytest.mark.parametrize(("rounds", "flower", "repeat"), [(1, 7, 12), (2, 19, 27), (3, 37, 48)])
def test_c29_flowers_with_a_shared_path(
    studio: Studio, rounds: int, flower: int, repeat: int
) -> None:
    """Published: 12 hexagons for a flower of 7, 7 and 5 of the path; derived: 3 (k + 1)^2."""
    body = {
        "units": "in",
        "tiling": "hexagon_flower",
        "side": "1",
        "rounds": rounds,
        "path": 1,
        "quilt": {"width": "20", "length": "20"},
    }
    found = studio.calculated("/v1/quilt-plans", body)["flower"]
    assert found == {"pieces": flower, "pieces_with_path": repeat}


def test_c30_218_flowers_of_19(studio: Studio) -> None:
    """Published: 218 flowers of 19 hexagons are 4142."""
    shape = {"kind": "hexagon", "side": 1}
    piece = {"shape": shape, "seam_allowance": "1/4", names.QUANTITY: 19}
    body = {"units": "in", "pieces": [piece], "kits": 218, "fabric": {"quoted_method": "rows"}}
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    assert found["pieces"][0]["needed"] == 4142


def test_c41_and_c43_hexagons_by_area(pieces: dict[str, Any]) -> None:
    """100 x 112 in takes 1915.9 hexagons of 1 1/2 in (published about 2000); 38.49 to 100 in2."""
    areas = [pieces[name]["template"]["area_mm2"] / INCH**2 for name in ("hexagon-150", "hexagon")]
    assert 100 * 112 / areas[0] == pytest.approx(1915.9, abs=0.1)
    assert 100 / areas[1] == pytest.approx(38.49, abs=0.01)


def _strip(studio: Studio, shape: dict[str, Any], step: str, grain: str) -> float:
    piece = {"shape": shape, "seam_allowance": "1/4", "grain": grain, names.QUANTITY: 32}
    body = {"units": "in", "pieces": [piece], "fabric": {"width": "42", "ruler_step": step}}
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    return float(found["pieces"][0]["strip_mm"]) / INCH


def test_c48_triangles_from_squares(studio: Studio) -> None:
    """Half-square: side + 0.853553 in; the trade's 7/8 in by ruler (published lists)."""
    shape = {"kind": "half_square_triangle", "side": 4}
    assert _strip(studio, shape, "0", "half-turn") == pytest.approx(4.853553, abs=1e-6)
    assert _strip(studio, shape, "1/8", "half-turn") == pytest.approx(4.875, abs=1e-6)
    # Quarter-square: half of base + 1.207107 in where they lie in strips, turned alternately.
    shape = {"kind": "quarter_square_triangle", "base": 4}
    assert _strip(studio, shape, "0", "half-turn") == pytest.approx(5.207107 / 2, abs=1e-6)


@pytest.mark.parametrize(("block", "square"), [(12, 9.375), (6, 5.125)])
def test_c49_corners_of_blocks_on_point(studio: Studio, block: int, square: float) -> None:
    """Published: block / 1.414 + 7/8, up to 1/8 in: 9 3/8 and 5 1/8 in squares, cut once."""
    shape = {"kind": "half_square_triangle", "long_side": block}
    assert _strip(studio, shape, "1/8", "half-turn") == pytest.approx(square, abs=1e-6)


def _rows(studio: Studio, side: str, count: int, width: str) -> tuple[int, int]:
    """Return squares per strip, and strips, of an order for squares."""
    piece = {"width": side, "length": side, names.QUANTITY: count}
    body = {"units": "in", "pieces": [piece], "fabric": {"width": width}}
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    return found["per_row"], found["rows"]


@pytest.mark.parametrize(
    ("side", "count"),
    [
        pytest.param("1", 1584, marks=pytest.mark.long),
        *few(
            [
                ("2", 396), ("2 1/2", 238), ("3", 168), ("3 1/2", 120), ("4", 99), ("4 1/2", 72),
                ("5", 56), ("6", 42), ("6 1/2", 30), ("7", 30),
            ],
            4,
        ),
    ],
)  # fmt: skip
def test_c33_and_c34_squares_of_a_yard(studio: Studio, side: str, count: int) -> None:
    """Published: squares of 44 x 36 in. 7 in squares are 6 x 5 = 30; the table prints 35."""
    size = float(sum(Fraction(part) for part in side.split()))
    assert _rows(studio, side, count, "44") == (int(44 / size), int(36 / size))
    # One square more needs a strip that is not in the yard.
    assert (_rows(studio, side, count + 1, "44")[1]) * size > 36


@pytest.mark.parametrize(("width", "count"), [("40", 16), ("44", 17), ("45", 18)])
def test_c40_pieces_across_the_cloth(studio: Studio, width: str, count: int) -> None:
    """Published: 16 to 18 pieces of 2 1/2 in lie across cloth of 40 to 45 in."""
    assert _rows(studio, "2 1/2", count, width) == (count, 1)


@pytest.mark.parametrize(("count", "buy", "mm"), [(1, "1/8 yd", 114.3), (8, "1 yd", 914.4)])
def test_c50_yards(studio: Studio, count: int, buy: str, mm: float) -> None:
    """1/8 yd is 4 1/2 in, 114.3 mm; eight strips of 4 1/2 in take a yard, 914.4 mm."""
    piece = {"width": 40, "length": "4 1/2", names.QUANTITY: count}
    body = {"units": "in", "pieces": [piece], "fabric": {"width": 40, "step": "1/8 yd"}}
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    assert (found[names.BUY], found["buy_mm"]) == (buy, pytest.approx(mm, abs=1e-9))


def test_c51_a_crib(studio: Studio) -> None:
    """Interior of a full-size crib: 28 x 52 3/8 in (16 CFR, US government); no drop, no tuck."""
    quilt = {"mattress_width": "28", "mattress_length": "52 3/8", "drop": "0", "tuck": "0"}
    body = {"units": "in", "tiling": "square", "side": "3 1/2", "quilt": {"bed": "crib", **quilt}}
    found = studio.calculated("/v1/quilt-plans", body)["quilt"]
    assert found["width_mm"] == pytest.approx(28 * INCH)
    assert found["length_mm"] == pytest.approx(52.375 * INCH)
