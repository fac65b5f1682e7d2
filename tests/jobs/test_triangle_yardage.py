"""Right triangles out of fabric: two from each square or rectangle, as the trade cuts them."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio
from tests.short_form import short_form

HALF_SQUARE = {"kind": "half_square_triangle", "side": "4"}
QUARTER_SQUARE = {"kind": "quarter_square_triangle", "base": "4"}
RIGHT = {"kind": "right_triangle", "width": "3", "height": "6"}
QUARTER = {"pre_cut": "fat_quarter"}


def _row(
    studio: Studio, shape: dict[str, str], count: int, fabric: dict[str, Any], **more: Any
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the fabric and the row of one triangle with 1/4 in allowance, cut by ruler."""
    piece = {"shape": shape, "seam_allowance": "1/4", names.QUANTITY: count, **more}
    body = {"units": "in", "pieces": [piece], "fabric": {**fabric, "quoted_method": "rows"}}
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    (row,) = found["pieces"]
    return found, row


def test_half_square_triangles_out_of_fat_quarters(studio: Studio) -> None:
    """60 half-square triangles of 4 in, from fat quarters of 18 x 22 in.

    Published lists of cutting sizes: a square of the finished side + 7/8 in gives two. 4 7/8 in:
    floor(18 / 4.875) x floor(22 / 4.875) = 3 x 4 = 12 squares, 24 triangles; 60 / 24 = 2.5, 3 fat
    quarters, 3 x 24 - 60 = 12 to spare. The exact square is 4 + 0.25 (2 + sqrt 2) = 4.8536 in, on
    a ruler's next sixteenth 4 7/8. 60 / 2 = 30 squares; 61 take 31 and leave one triangle over.

    With the short sides on the grain, that is. Free of it, the long side of 6.8640 in lies along
    strips of 3 7/16 in (3.4320): 5 in 22 in (4 x 3.4320 + 6.8640 = 20.59) and 18 / 3.4375 = 5
    strips, 25 a fat quarter.
    """
    found, row = _row(studio, HALF_SQUARE, 60, QUARTER, grain="half-turn")
    assert (found["pre_cuts"], found["buy"]) == (3, "3 fat quarters")
    assert (row["pieces_per_pre_cut"], row["spare"], row["cut"]) == (24, 12, 60)
    assert row["method"] == (
        "in pairs: 2 from each square of 4 7/8 in, cut along a diagonal; 30 squares"
    )
    _, odd = _row(studio, HALF_SQUARE, 61, QUARTER, grain="half-turn")
    assert odd["method"].endswith("31 squares, 1 left over")
    _, free = _row(studio, HALF_SQUARE, 60, QUARTER)
    assert (free["pieces_per_pre_cut"], free["turned_alternately"]) == (25, True)


def test_half_square_triangles_out_of_wide_cloth(studio: Studio) -> None:
    """The same 60 out of cloth 42 in wide.

    42 / 4.875 = 8.6: 8 squares, 16 triangles a row; 60 / 16 = 3.75, 4 rows of 4 7/8 = 19.5 in =
    0.542 yd, to eighths 5/8 yd.
    """
    found, row = _row(studio, HALF_SQUARE, 60, {"width": "42", "step": "1/8 yd"})
    assert (found["per_row"], found["rows"], found[names.BUY]) == (16, 4, "5/8 yd")
    assert found["length_mm"] == pytest.approx(19.5 * 25.4, abs=1e-3)
    assert "in pairs" in row["method"]


@pytest.mark.parametrize("kind", ["fat_quarter", None])
def test_a_print_with_a_top_is_not_turned(studio: Studio, kind: str | None) -> None:
    """On a directional print no half turn is allowed: one triangle from each 4.8536 in square.

    12 squares a fat quarter: 60 / 12 = 5. Of 42 in: 8 a row, 60 / 8 = 7.5, 8 rows.
    """
    cloth = {"pre_cut": kind} if kind else {"width": "42", "step": "1/8 yd"}
    found, row = _row(studio, HALF_SQUARE, 60, {**cloth, "directional": True})
    assert "method" not in row
    if kind:
        assert (found["pre_cuts"], row["pieces_per_pre_cut"]) == (5, 12)
    else:
        assert (found["per_row"], found["rows"]) == (8, 8)


def test_a_right_triangle_shares_a_rectangle(studio: Studio) -> None:
    """49 right triangles of 3 by 6 in, from fat quarters.

    The long side is sqrt(9 + 36) = 6.7082. The legs grow by 0.25 (1 + (3 + 6.7082) / 6) = 0.6545
    and 0.25 (1 + (6 + 6.7082) / 3) = 1.3090: two out of 3.6545 x 7.3090 in, by
    ruler 3 11/16 x 7 5/16. floor(18 / 3.6875) x floor(22 / 7.3125) = 4 x 3 = 12 rectangles, 24
    triangles; 49 / 24 = 2.04, 3 fat quarters; 25 rectangles, one triangle left over. Singly it
    would be 12 a fat quarter, so 5.
    """
    found, row = _row(studio, RIGHT, 49, QUARTER)
    assert (found["pre_cuts"], row["pieces_per_pre_cut"]) == (3, 24)
    assert "3 11/16 in by 7 5/16 in" in row["method"]
    assert row["method"].endswith("25 rectangles, 1 left over")


def test_quarter_square_triangles_need_a_quarter_turn(studio: Studio) -> None:
    """60 quarter-square triangles of 4 in base, from fat quarters.

    Published lists: a square of the finished base + 1 1/4 in gives four. 5 1/4 in (exact:
    4 + 0.5 (1 + sqrt 2) = 5.2071): 3 x 4 = 12 squares, 48 triangles; 60 / 48 = 1.25, 2 fat
    quarters. Two of the four lie across the grain; where they may not, they lie in strips of
    2 5/8 in, turned alternately: 5 in 18 in (4 x 2.6036 + 5.2071 = 15.62), 22 / 2.625 = 8 strips:
    40 a fat quarter, so 2.
    """
    found, row = _row(studio, QUARTER_SQUARE, 60, QUARTER, may_turn_across_grain=True)
    assert (found["pre_cuts"], row["pieces_per_pre_cut"]) == (2, 48)
    assert row["method"].startswith("in fours: 4 from each square of 5 1/4 in")
    found, row = _row(studio, QUARTER_SQUARE, 60, QUARTER, may_turn_across_grain=False)
    assert (found["pre_cuts"], row["pieces_per_pre_cut"]) == (2, 40)
    assert "method" not in row


@pytest.mark.parametrize("fabric", short_form([QUARTER, {"width": "42"}], [{"width": "42"}]))
def test_a_plan_and_its_yardage_agree(studio: Studio, fabric: dict[str, str]) -> None:
    """The fabric of a plan of stars, with its setting triangles, is that of /v1/yardage."""
    plan = studio.calculated(
        "/v1/quilt-plans",
        {
            "units": "in",
            "tiling": "eight_point_star",
            "side": "3",
            "quilt": {"width": "42", "length": "42"},
            "colours": {"by": "repeat", "names": ["sand"]},
            "seam_allowance": "1/4",
            "fabric": fabric,
        },
    )
    pieces = [
        {
            "id": piece["id"],
            "shape": piece["shape"],
            "seam_allowance": "1/4",
            "grain": piece["grain"],
            names.QUANTITY: piece["quantity"],
        }
        for piece in plan["kit"]["pieces"]
    ]
    body = {"units": "in", "pieces": pieces, "fabric": {"name": "sand", **fabric}}
    (planned,) = plan["materials"]["fabrics"]
    (alone,) = studio.calculated("/v1/yardage", body)["fabrics"]
    assert any("method" in row or row["turned_alternately"] for row in planned["pieces"])
    assert alone["buy"] == planned["buy"]
    for method in ("rows", "layout"):
        assert alone["methods"][method] == pytest.approx(planned["methods"][method])
    for one, other in zip(alone["pieces"], planned["pieces"], strict=True):
        assert one == pytest.approx(other)
