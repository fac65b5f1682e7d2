"""Yardage of single shapes in strips across the cloth, as a person with a ruler cuts them.

All pieces have 1/4 in allowance unless stated; strips are rounded up to sixteenths of an inch, as
rulers have them. n pieces in a strip take the distance from the first to the last, plus one piece.
Addition of the allowance to each shape: derived (corners mitred).
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio

DIAMOND = {"kind": "diamond_45", "side": "3 1/2"}


def _cut(
    studio: Studio, shape: dict[str, Any], count: int, width: str, **more: Any
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the fabric and the row of one shape on cloth of a usable width."""
    piece = {"shape": shape, names.QUANTITY: count, "seam_allowance": "1/4", **more}
    body = {
        "units": "in",
        "pieces": [piece],
        "fabric": {"width": width, "step": "1/8 yd", "quoted_method": "rows"},
    }
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    (row,) = found["pieces"]
    return found, row


def _inches(found: dict[str, Any]) -> float:
    return float(found["methods"]["rows"]["length_mm"]) / 25.4


def test_w10_triangles_turned_alternately(studio: Studio) -> None:
    """192 triangles 3 in high as cut, of 44 in: published as 8 layers of 44 in, 28 to a strip.

    The finished height is 3 - 3 x 1/4 = 2 1/4 in. As cut a side is 3 / 0.866025 = 3.4641 in;
    turned alternately each takes half of it more: 1.7321 (n - 1) + 3.4641 <= 44 gives n = 24 (the
    published 28 is overstated). 192 / 24 = 8 strips of 3 in = 24 in = 0.667 yd, 3/4 yd. Boxes
    would be 12 to a strip, 16 strips, 48 in. Area: 192 x 5.1962 / 44 = 22.67 in.
    """
    found, row = _cut(studio, {"kind": "triangle", "height": "2 1/4"}, 192, "44")
    assert (found["per_row"], found["rows"], found[names.BUY]) == (24, 8, "3/4 yd")
    assert _inches(found) == pytest.approx(24.0, abs=1e-6)
    assert row["strip_mm"] == pytest.approx(3 * 25.4, abs=1e-6)
    assert row["turned_alternately"]
    assert found["area_mm2"] / 25.4**2 == pytest.approx(192 * 5.196152, abs=1e-3)
    assert found["min_length_mm"] / 25.4 == pytest.approx(22.674, abs=1e-3)


def test_triangles_of_a_print_with_a_top_are_not_turned(studio: Studio) -> None:
    """The same with `grain` fixed: 44 / 3.4641 = 12.7, 12 to a strip; 16 strips, 48 in."""
    found, row = _cut(studio, {"kind": "triangle", "height": "2 1/4"}, 192, "44", grain="fixed")
    assert (found["per_row"], found["rows"]) == (12, 16)
    assert _inches(found) == pytest.approx(48.0, abs=1e-6)
    assert not row["turned_alternately"]


@pytest.mark.parametrize(
    ("count", "strips", "inches", "buy"),
    [(8, 1, 3.0, "1/8 yd"), (16, 2, 6.0, "1/4 yd"), (56, 7, 21.0, "5/8 yd")],
)
def test_diamonds_from_strips(
    studio: Studio, count: int, strips: int, inches: float, buy: str
) -> None:
    """Rings of an eight-point star: 45-degree diamonds of 3 1/2 in out of 42 in.

    Across the sides 3.5 x 0.707107 + 0.5 = 2.9749 in: strips of 3 in. A side as cut is
    3.5 + 0.7071 = 4.2071; side by side in the strip the first takes 2.9749 more: (n - 1) 4.2071 +
    7.1820 <= 42 gives n = 9. 8: 1 strip; 16: 2; 56: 7 = 21 in = 0.583 yd. In boxes of 8.06 by
    3.34 in it would be 5 to a row and 12 rows of 3.34, 40 in.
    """
    found, row = _cut(studio, DIAMOND, count, "42")
    assert (found["per_row"], found["rows"], found[names.BUY]) == (9, strips, buy)
    assert _inches(found) == pytest.approx(inches, abs=1e-6)
    assert not row["turned_alternately"]


def test_a_diamond_that_keeps_its_grain_lies_tip_up(studio: Studio) -> None:
    """Half turns alone leave the tips up: 8.0596 x 0.4142 = 3.2205 wide, 6.4672 + 1.3066 high.

    Long diagonal 1.847759 x 3.5 + 5.22625 x 0.25 = 7.7737, short 0.765367 x 3.5 + 2.16478 x 0.25 =
    3.2200. 42 / 3.22 = 13 to a strip of 7 13/16 in: 56 in 5 strips, 39.0625 in.
    """
    found, row = _cut(studio, DIAMOND, 56, "42", grain="half-turn")
    assert (found["per_row"], found["rows"]) == (13, 5)
    assert _inches(found) == pytest.approx(39.0625, abs=1e-6)
    assert not row["turned"]


def test_half_square_triangles_from_strips_of_squares(studio: Studio) -> None:
    """60 of 4 in: squares of 4 + 0.8536 = 4.8536 in, on a ruler 4 7/8 (the trade's addition).

    42 / 4.875 = 8.6: 8 squares, 16 triangles to a strip; 4 strips of 4 7/8 = 19 1/2 in.
    """
    found, row = _cut(studio, {"kind": "half_square_triangle", "side": "4"}, 60, "42")
    assert (found["per_row"], found["rows"], found[names.BUY]) == (16, 4, "5/8 yd")
    assert _inches(found) == pytest.approx(19.5, abs=1e-6)
    assert row["strip_mm"] == pytest.approx(4.875 * 25.4, abs=1e-6)


def test_setting_triangles_in_fours(studio: Studio) -> None:
    """4 side triangles of a star's block, base 34.648 in: one square of 35.8551, 35 7/8 by ruler.

    Turned alternately in a strip (17.93 high, 35.86 long) one goes on 42 in: 4 strips, 71.75 in.
    """
    shape = {"kind": "quarter_square_triangle", "base": "34.648"}
    found, row = _cut(studio, shape, 4, "42")
    assert (found["per_row"], found["rows"]) == (4, 1)
    assert _inches(found) == pytest.approx(35.875, abs=1e-6)
    assert "in fours" in row["method"]
    found, _ = _cut(studio, shape, 4, "42", grain="half-turn")
    assert (found["per_row"], found["rows"]) == (1, 4)
    assert _inches(found) == pytest.approx(71.75, abs=1e-6)


def test_half_hexagons_turned_alternately(studio: Studio) -> None:
    """100 of 2 in, cut corner to corner: height 1.7321 + 0.5 = 2.2321, strips of 2 1/4 in.

    Long base 4 + 0.8660 = 4.8660, top 2 + 0.2887 = 2.2887; alternately each takes their mean,
    3.5774: (n - 1) 3.5774 + 4.8660 <= 42 gives n = 11. 100 / 11 = 9.1, 10 strips: 22.5 in, 5/8 yd.
    """
    found, row = _cut(studio, {"kind": "half_hexagon", "side": "2"}, 100, "42")
    assert (found["per_row"], found["rows"], found[names.BUY]) == (11, 10, "5/8 yd")
    assert _inches(found) == pytest.approx(22.5, abs=1e-6)
    assert row["turned_alternately"]


def test_tumblers_turned_alternately(studio: Studio) -> None:
    """120 of 3 to 2 in, 3 1/2 in high: 4 in as cut; slanted sides lean 1 in 7.

    The wide end gains 2 x 0.25 x 1.1532 = 0.5766 (cot of half of 81.87 degrees), the narrow one
    2 x 0.25 x 0.8672 = 0.4336: 3.5766 and 2.4336, mean 3.0051. HANDBOOK 1.2: a row of n is n means
    and half the difference long: 3.0051 n + 0.5715 <= 40 gives n = 13. 120 / 13 = 9.2, 10 strips
    of 4 in: 40 in, 1 1/8 yd.
    """
    shape = {"kind": "tumbler", "top_width": "3", "bottom_width": "2", "height": "3 1/2"}
    found, row = _cut(studio, shape, 120, "40")
    assert (found["per_row"], found["rows"], found[names.BUY]) == (13, 10, "1 1/8 yd")
    assert _inches(found) == pytest.approx(40.0, abs=1e-6)
    assert row["turned_alternately"]


def test_kites_with_a_side_on_the_strip(studio: Studio) -> None:
    """90 kites, sixths of a 3 in hexagon, of 40 in.

    A kite has a circle in it, of radius 0.3170 x 3 = 0.9510 in, so with 1/4 in more it is a kite
    1.2010 / 0.9510 = 1.2629 times as large: of a hexagon of 3.7887 in. On its long side it is
    0.75 x 3.7887 = 2.8415 high, strips of 2 7/8 in, and 0.8660 x 3.7887 = 3.2811 wide. Turned
    alternately the next one begins 1.6405 on (its tip in the slanted side), the one after that
    3.2811 on: with n = 16, 7 pairs of 4.9216 + 1.6405 + 3.2811 = 39.37 in. 90 / 16 = 5.6, 6
    strips: 17.25 in. Tip up it would be 17 to strips of 3 13/16 in, 6 strips, 22.9 in.
    """
    found, row = _cut(studio, {"kind": "kite", "side": "3"}, 90, "40")
    assert (found["per_row"], found["rows"], found[names.BUY]) == (16, 6, "1/2 yd")
    assert _inches(found) == pytest.approx(17.25, abs=1e-6)
    assert row["turned_alternately"]


def test_hexagons_by_the_metre(studio: Studio) -> None:
    """400 hexagons of 1 in, of 110 cm = 43.307 in, sold by 0.1 m.

    Across flats 1.7321 + 0.5 = 2.2321, strips of 2 1/4 in; across corners 2 + 0.5774 = 2.5774:
    43.307 / 2.5774 = 16.8, 16 to a strip (published: 16 to 18 on a 2 1/2 in strip); 400 / 16 = 25
    strips = 56.25 in = 1.429 m, 1.5 m. Corners up: 19 to strips of 2 5/8, 22 strips, 57.75 in.
    """
    body = {
        "units": "in",
        "pieces": [
            {
                "id": "D",
                "shape": {"kind": "hexagon", "side": "1"},
                "seam_allowance": "1/4",
                names.QUANTITY: 400,
            }
        ],
        "fabric": {"width": "110 cm", "step": "0.1 m", "quoted_method": "rows"},
    }
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    assert (found["per_row"], found["rows"], found[names.BUY]) == (16, 25, "1.5 m")
    assert _inches(found) == pytest.approx(56.25, abs=1e-6)


def test_metric_strips_are_whole_millimetres(studio: Studio) -> None:
    """60 triangles of 6 cm with 0.75 cm, of 110 cm: 5.196 + 2.25 = 7.446 cm high, strips of 7.5.

    A side as cut is 6 + 3.4641 x 0.75 = 8.598 cm: 4.299 (n - 1) + 8.598 <= 110 gives n = 24.
    60 / 24 = 2.5, 3 strips: 22.5 cm, 0.3 m. `ruler_step` 0: 3 x 7.4462 = 22.339 cm.
    """
    piece = {
        "shape": {"kind": "triangle", "side": 6},
        "seam_allowance": 0.75,
        names.QUANTITY: 60,
    }
    body: dict[str, Any] = {"units": "cm", "pieces": [piece]}
    for step, length in ((None, 225.0), (0, 223.3846)):
        more = {} if step is None else {"ruler_step": step}
        body["fabric"] = {"width": 110, "quoted_method": "rows", **more}
        (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
        assert (found["per_row"], found["rows"], found[names.BUY]) == (24, 3, "0.3 m")
        assert found["methods"]["rows"]["length_mm"] == pytest.approx(length, abs=1e-3)


def test_triangles_out_of_fat_quarters(studio: Studio) -> None:
    """60 quarter-square triangles of 4 in that keep their grain, out of 18 x 22 in.

    As cut 5.2071 long and 2.6036 high, strips of 2 5/8 in; turned alternately each takes 2.6036
    more. Strips of 18 in: (n - 1) 2.6036 + 5.2071 <= 18 gives 5, and 22 / 2.625 = 8 strips: 40. 60
    / 40: 2 fat quarters, 20 to spare. (Boxes alone: 24 each, 3.)
    """
    body = {
        "units": "in",
        "pieces": [
            {
                "shape": {"kind": "quarter_square_triangle", "base": "4"},
                "seam_allowance": "1/4",
                "grain": "half-turn",
                names.QUANTITY: 60,
            }
        ],
        "fabric": {"pre_cut": "fat_quarter", "quoted_method": "rows"},
    }
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    (row,) = found["pieces"]
    assert (row["pieces_per_pre_cut"], row["spare"], found["pre_cuts"]) == (40, 20, 2)


def test_an_unknown_way_to_quote_is_an_error(studio: Studio) -> None:
    """The member is named, and the values that it can have."""
    body = {
        "units": "in",
        "pieces": [{"width": "2", "length": "2", names.QUANTITY: 3, "grain": "sideways"}],
        "fabric": {"quoted_method": "cheapest"},
    }
    errors = {
        each["pointer"]: each["detail"] for each in studio.refused(body, "/v1/yardage")["errors"]
    }
    assert set(errors) == {"#/pieces/0/grain", "#/fabric/quoted_method"}
    assert "larger" in errors["#/fabric/quoted_method"]


def test_triangles_grow_with_a_strip_that_is_rounded_up(studio: Studio) -> None:
    """288 quarter-square triangles with a base of 3 in keep their grain: turned by halves.

    As cut they are 1.5 + 1/4 (1 + sqrt 2) = 2.1036 in high: strips of 2 1/8 in. Cuts at 45 degrees
    across such a strip part triangles of 2 1/8 in, and a base of 4 1/4: from one to the next
    2 1/8 in, (n + 1) 2.125 <= 40 gives n = 17, where 2.1036 would give 18. 288 / 17 = 16.94: 17
    strips, 36 1/8 in.
    """
    shape = {"kind": "quarter_square_triangle", "base": 3}
    found, row = _cut(studio, shape, 288, "40", grain="half-turn")
    assert (found["per_row"], found["rows"]) == (17, 17)
    assert _inches(found) == pytest.approx(36.125, abs=1e-6)
    assert row["turned_alternately"]
