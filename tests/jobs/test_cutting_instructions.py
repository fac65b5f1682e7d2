"""Cutting instructions for people who cut by hand: strips, pieces from them, and a drawing."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio

SVG = "{http://www.w3.org/2000/svg}"
TRIANGLE = {"kind": "triangle", "height": "1 3/4"}
DIAMOND = {"kind": "diamond_45", "side": "3 1/2"}
HALF_SQUARE = {"kind": "half_square_triangle", "side": "4"}


def _cutting(
    studio: Studio, pieces: list[dict[str, Any]], units: str = "in", **fabric: Any
) -> dict[str, Any]:
    body = {"units": units, "pieces": pieces, "fabric": {"name": "sailcloth", **fabric}}
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    return dict(found["cutting"])


def _shape(shape: dict[str, Any], count: int, **more: Any) -> dict[str, Any]:
    return {"shape": shape, "seam_allowance": "1/4", names.QUANTITY: count, **more}


def _drawn(cutting: dict[str, Any]) -> list[int]:
    """Return how many pieces each strip of the drawing shows."""
    root = ET.fromstring(cutting["picture"])  # noqa: S314 - our own text
    strips = [each for each in root.iter(f"{SVG}g") if each.get("class") == "strip"]
    return [len(each.findall(f".//{SVG}path[@class='piece']")) for each in strips]


ORDERS = [
    pytest.param(
        _shape(TRIANGLE, 104),
        "24",
        "Cut 7 strips 2 1/2 in x width of fabric; from them 104 triangles, turned alternately, "
        "15 to a strip. Cut across at 60 degrees to the strip's edge, leaning left and right in "
        # 2 1/2 / sin 60
        "turn; each piece is about 2 7/8 in (2.8868 in) at its widest.",
        15,
        id="triangles",
    ),
    pytest.param(
        {"width": "3 1/2", "length": "3 1/2", names.QUANTITY: 200},
        "44",
        "Cut 17 strips 3 1/2 in x width of fabric; from them 200 squares 3 1/2 in, 12 to a strip.",
        12,
        id="squares",
    ),
    pytest.param(
        {"width": "3", "length": "2", names.QUANTITY: 9},
        "40",
        "Cut 1 strip 2 in x width of fabric; from it 9 rectangles 3 in by 2 in.",
        9,
        id="rectangles",
    ),
    pytest.param(
        _shape(DIAMOND, 56),
        "42",
        "Cut 7 strips 3 in x width of fabric; from them 56 diamonds, side by side, 9 to a strip. "
        "Cut across at 45 degrees to the strip's edge, the cuts 3 in apart.",
        9,
        id="diamonds",
    ),
    pytest.param(
        _shape(HALF_SQUARE, 61, grain="half-turn"),
        "42",
        "Cut 4 strips 4 7/8 in x width of fabric; from them 31 squares 4 7/8 in, 8 to a strip; cut "
        "each along a diagonal: 61 half-square triangles, 1 left over.",
        16,
        id="half-square-triangles",
    ),
    pytest.param(
        _shape({"kind": "clamshell", "width": "2"}, 40),
        "40",
        "Cut 3 strips 2 1/2 in x width of fabric; from them 40 clamshells, each out of a square of "
        "2 1/2 in, 16 to a strip.",
        16,
        id="clamshells",
    ),
]


@pytest.mark.parametrize(("piece", "width", "sentence", "drawn"), ORDERS)
def test_strips_and_what_is_cut_from_them(
    studio: Studio, piece: dict[str, Any], width: str, sentence: str, drawn: int
) -> None:
    """Sentences as a pattern for hand cutting has them; a drawing of one strip of each size.

    Triangles 2 1/2 in high as cut have sides of 2.8868: 1.4434 (n - 1) + 2.8868 <= 24 gives 15;
    104 / 15 = 6.9, 7 strips. Squares: 12 of 3 1/2 in on 44 in, 200 / 12 = 16.7 (published).
    Diamonds, 45 degrees: 3 in high, 9 on 42 in, 56 / 9 = 6.2. Half-square triangles: 42 / 4.875 =
    8 squares, 61 take 31: 31 / 8 = 3.9. Clamshells: boxes of 2 1/2 in (published), 40 / 16 = 2.5.
    """
    cutting = _cutting(studio, [piece], width=width)
    first, *rest = cutting["instructions"]
    assert first == (
        f"Straighten one end of the fabric and cut off the selvedges: the width of fabric is "
        f"{width} in."
    )
    assert rest == [sentence]
    assert _drawn(cutting) == [drawn]
    assert any("guard" in each for each in cutting["cautions"])
    assert any("local codes" in each for each in cutting["cautions"])


def test_instructions_speak_the_units_of_the_request(studio: Studio) -> None:
    """60 triangles of 6 cm: 7.446 cm as cut, strips of 7.5 cm, 24 on 110 cm, 3 strips."""
    piece = {
        "shape": {"kind": "triangle", "side": 6},
        "seam_allowance": 0.75,
        names.QUANTITY: 60,
    }
    cutting = _cutting(studio, [piece], "cm", width=110)
    assert cutting["instructions"] == [
        (
            "Straighten one end of the fabric and cut off the selvedges: the width of fabric is "
            "110 cm."
        ),
        (
            "Cut 3 strips 7.5 cm x width of fabric; from them 60 triangles, turned alternately, "
            "24 to a strip. Cut across at 60 degrees to the strip's edge, leaning left and right "
            # 7.5 / sin 60
            "in turn; each piece is 8.66 cm at its widest."
        ),
    ]


def test_pieces_are_named_where_there_are_several(studio: Studio) -> None:
    """The ground of a star: 4 squares of 25 in and 4 setting triangles of 35 7/8 in squares.

    A square of 24 1/2 in is cut 25 in: 1 on 42 in, 4 strips. Base 34.648 + 1.2071 = 35.855 in.
    The print has a wash before it: 3 % shrinkage.
    """
    pieces = [
        _shape({"kind": "square", "side": "24 1/2"}, 4, id="corner"),
        _shape({"kind": "quarter_square_triangle", "base": "34.648"}, 4, id="side"),
    ]
    cutting = _cutting(studio, pieces, width="42", shrinkage_percent=3)
    assert cutting["instructions"] == [
        "Wash and press the fabric before you cut it.",
        "Straighten one end of the fabric and cut off the selvedges: the width of fabric is 42 in.",
        "corner: Cut 4 strips 25 in x width of fabric; from them 4 squares 25 in, 1 to a strip.",
        (
            "side: Cut 1 strip 35 7/8 in x width of fabric; from it 1 square 35 7/8 in; cut it "
            "along both diagonals: 4 quarter-square triangles."
        ),
    ]
    assert _drawn(cutting) == [1, 4]


def test_pre_cut_pieces_have_instructions_too(studio: Studio) -> None:
    """60 quarter-square triangles of 4 in that keep their grain: 5 to an 18 in strip, 8 strips."""
    piece = _shape({"kind": "quarter_square_triangle", "base": "4"}, 60, grain="half-turn")
    cutting = _cutting(studio, [piece], pre_cut="fat_quarter")
    assert cutting["instructions"] == [
        (
            "From 2 fat quarters cut 12 strips 2 5/8 in x 18 in; from them 60 quarter-square "
            "triangles, turned alternately, 5 to a strip. Cut across at 45 degrees to the strip's "
            "edge, leaning left and right in turn; each piece is 5 1/4 in at its widest."
        ),
    ]
    assert _drawn(cutting) == [5]


def test_a_print_with_a_top_is_kept_upright(studio: Studio) -> None:
    """The half turn is not offered, and the sentence says why."""
    cutting = _cutting(studio, [_shape(TRIANGLE, 10)], width="24", directional=True)
    assert cutting["instructions"][1:] == [
        "Lay every piece the same way up as the print.",
        (
            "Cut 2 strips 2 1/2 in x width of fabric; from them 10 triangles, side by side, 8 to a "
            "strip. Cut across at 60 degrees to the strip's edge, leaning left and right in turn; "
            "each piece is about 2 7/8 in (2.8868 in) at its widest."
        ),
    ]


def test_a_plan_has_instructions_for_each_fabric(studio: Studio) -> None:
    """12 squares of 6 1/2 in of each colour: 6 on 42 in, 2 strips."""
    plan = studio.calculated(
        "/v1/quilt-plans",
        {
            "units": "in",
            "tiling": "square",
            "side": "6",
            "quilt": {"width": "24", "length": "36"},
            "colours": {"by": "rows", "names": ["tide", "sand"]},
            "fabric": {"width": "42"},
        },
    )
    fabrics = plan["materials"]["fabrics"]
    assert {each["fabric"] for each in fabrics} == {"tide", "sand"}
    for each in fabrics:
        assert each["cutting"]["instructions"][-1] == (
            "Cut 2 strips 6 1/2 in x width of fabric; from them 12 squares 6 1/2 in, 6 to a strip."
        )


def test_rectangles_from_strips_of_two_widths(studio: Studio) -> None:
    """Fifty rectangles of 3 x 5 in, cut 3 1/2 x 5 1/2 in, from cloth 42 in wide.

    Strips of 5 1/2 in hold 12: five are 27 1/2 in. Strips of 3 1/2 in hold 7: eight are 28 in.
    Three of the first and two of the second hold 36 + 14 = 50 on 16 1/2 + 7 = 23 1/2 in. Pieces
    that may not lie across keep to the first.
    """
    piece: dict[str, Any] = {"width": "3 1/2", "length": "5 1/2", names.QUANTITY: 50}
    piece["grain"] = "free"
    body = {"units": "in", "pieces": [piece], "fabric": {"width": "42"}}
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(23.5 * 25.4)
    assert [(each["needed"], each["cut"], each["rows"]) for each in found["pieces"]] == [
        (36, 36, 3),
        (14, 14, 2),
    ]
    assert found["cutting"]["instructions"][-2:] == [
        (
            "Cut 3 strips 5 1/2 in x width of fabric; from them 36 rectangles 3 1/2 in by 5 1/2 "
            "in, 12 to a strip."
        ),
        (
            "Cut 2 strips 3 1/2 in x width of fabric; from them 14 rectangles 5 1/2 in by 3 1/2 "
            "in, 7 to a strip."
        ),
    ]
    assert _drawn(found["cutting"]) == [12, 7]
    # The cutter's layout takes no more, and both are at least the area.
    laid = found["methods"]["layout"]["length_mm"]
    assert 50 * 3.5 * 5.5 / 42 * 25.4 <= laid <= 23.5 * 25.4 + 1e-3
    piece["grain"] = "half-turn"
    (bound,) = studio.calculated("/v1/yardage", body)["fabrics"]
    assert bound["methods"]["rows"]["length_mm"] == pytest.approx(27.5 * 25.4)
