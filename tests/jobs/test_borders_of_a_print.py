"""Borders of a print with a top: it stands upright on every side of the quilt.

Common practice, no source: strips of such a print are cut along the fabric for the sides and across
it for the ends; ends longer than the fabric is wide are joined.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio
from tests.jobs.test_borders_on_the_sheet import _fabrics, _sheet

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

INCH = 25.4


def request(
    width: int, length: int, border: dict[str, Any], fabric: dict[str, Any]
) -> dict[str, Any]:
    """Return a quilt of squares of 4 in with one border."""
    return {
        "title": "Terns along the quay",
        "units": "in",
        "tiling": "square",
        "side": "4",
        "quilt": {"width": width, "length": length},
        "borders": [{"colour": "terns", **border}],
        "seam_allowance": "1/4",
        "fabric": {"width": "42", "directional": True, **fabric},
    }


LARGE = request(58, 74, {"width": "3"}, {})


def test_long_ends_are_joined(studio: Studio) -> None:
    """13 x 17 squares of 4 in are 52 x 68 in; a border of 3 in makes 58 x 74.

    Sides 68 1/2 x 3 1/2 in, cut along the fabric: 68 1/2 in of it, 7 in of its 42 wide. Ends
    58 1/2 x 3 1/2 in are longer than it is wide: 2 x 58 1/2 = 117 in, of which each strip gives
    42 - 1/2, (117 - 1/2) / 41 1/2 = 2.8: 3 strips across. 68 1/2 + 3 x 3 1/2 = 79 in, since 35 in
    beside the sides hold no strip of 42. With all four along, and the print across on the ends,
    68 1/2 in would do.
    """
    plan = studio.calculated("/v1/quilt-plans", LARGE)
    terns = _fabrics(plan)["terns"]
    rows = {each["id"]: each for each in terns["pieces"]}
    assert list(rows) == ["border-1-ends", "border-1-sides"]
    assert rows["border-1-sides"]["length_mm"] == pytest.approx(68.5 * INCH)
    assert (rows["border-1-ends"]["width_mm"], rows["border-1-ends"]["length_mm"]) == (
        pytest.approx(42 * INCH),
        pytest.approx(3.5 * INCH),
    )
    assert [each["turned"] for each in rows.values()] == [False, False]
    assert terns["methods"]["rows"]["length_mm"] == pytest.approx(79 * INCH)
    assert terns["methods"]["layout"]["length_mm"] == pytest.approx(79 * INCH, abs=0.01)
    (joined,) = plan["borders"][0]["joined_from"]
    assert (joined["places"], joined[names.QUANTITY]) == (["ends"], 3)


def test_the_sheet_says_how_they_are_cut(studio: Studio) -> None:
    """3 strips are joined for two ends, two sides are whole: 5 strips for borders, 221 squares."""
    sheet = _sheet(studio, "/v1/quilt-plans", LARGE)
    assert "ends: 3 strips 3 1/2 in x 42 in, joined end to end" in sheet
    assert "then 2 for the ends, each 58 1/2 in long" in sheet
    assert "sides: 2 strips 3 1/2 in x 68 1/2 in" in sheet
    assert "The print stands upright on every side" in sheet
    assert "221, and 5 strips for borders" in sheet


def test_short_ends_lie_across(studio: Studio) -> None:
    """6 x 6 squares are 24 in; with a border of 2 in 28. Ends 28 1/2 x 2 1/2 in fit across 42 in.

    Sides 24 1/2 x 2 1/2 in leave 37 in beside them, where both ends go: 24 1/2 in.
    """
    plan = studio.calculated("/v1/quilt-plans", request(28, 28, {"width": "2"}, {}))
    terns = _fabrics(plan)["terns"]
    assert plan["borders"][0]["joined_from"] == []
    assert terns["methods"]["rows"]["length_mm"] == pytest.approx(24.5 * INCH)
    sizes = {each["id"]: (each["width_mm"], each["length_mm"]) for each in terns["pieces"]}
    assert sizes["border-1-ends"] == (pytest.approx(28.5 * INCH), pytest.approx(2.5 * INCH))


def test_strips_of_pre_cut_pieces_are_joined_both_ways(studio: Studio) -> None:
    """Fat quarters of 22 in across by 18 in along; the same 58 x 74, a seam takes 1/2 in.

    Ends: 117 in of strips of 22 in, (117 - 1/2) / 21 1/2 = 5.4: 6. Sides: 137 in of strips of
    18 in, (137 - 1/2) / 17 1/2 = 7.8: 8.
    """
    body = request(58, 74, {"width": "3", "joined": True}, {})
    body["fabric"] = {"pre_cut": {"width": "22", "length": "18"}, "directional": True}
    plan = studio.calculated("/v1/quilt-plans", body)
    joined = {each["places"][0]: each for each in plan["borders"][0]["joined_from"]}
    assert (joined["ends"][names.QUANTITY], joined["sides"][names.QUANTITY]) == (6, 8)
    assert joined["sides"]["cut_length_mm"] == pytest.approx(18 * INCH)
    rows = _fabrics(plan)["terns"]["pieces"]
    assert all(not each["turned"] for each in rows)


def test_a_print_without_a_top_takes_the_least(studio: Studio) -> None:
    """All four strips along the fabric, side by side in 14 in of its width: 68 1/2 in."""
    body = {**LARGE, "fabric": {"width": "42"}}
    terns = _fabrics(studio.calculated("/v1/quilt-plans", body))["terns"]
    assert terns["methods"]["rows"]["length_mm"] == pytest.approx(68.5 * INCH)
