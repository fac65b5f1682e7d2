"""Border strips so wide that only three lie side by side: two of one length, end to end.

Common practice, no source: long strips are cut along the cloth, and from one long enough two are
cut. All sizes are those as cut, worked by hand.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Json, Studio

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

INCH = 25.4


def _size(name: str, width: str, length: str, **more: Any) -> Json:
    return {"id": name, "width": width, "length": length, names.QUANTITY: 2, **more}


def _cloth(studio: Studio, *pieces: Json, **fabric: Any) -> Json:
    fabric = {"width": "42", "step": "1/8 yd", **fabric}
    body = {"units": "in", "pieces": list(pieces), "fabric": fabric}
    return dict(studio.calculated("/v1/yardage", body)["fabrics"][0])


@pytest.mark.long
def test_the_border_of_four_stars(studio: Studio) -> None:
    """Stars of 4 x 4 diamonds of 1 1/2 in: blocks of 3.414214 x 6 = 20.4853 in, two by two 40.9706.

    Borders (60 - 40.9706) / 2 = 9.5147 in: sides 10.0147 x 41.4706, ends 10.0147 x 60.5; by ruler
    10 1/16 x 41 1/2 and 60 1/2. Of 40 in, three lie side by side: both ends, and both sides in the
    third column, 83 in; 83 / 4.5 = 18.4, 19 eighths: 2 3/8 yd. Row by row, 60 1/2 + 41 1/2 = 102.
    """
    plan = studio.calculated(
        "/v1/quilt-plans",
        {
            "units": "in",
            "tiling": "lone_star",
            "side": "1 1/2",
            "diamonds": 4,
            "quilt": {"width": 60, "length": 60},
            "fit": "borders",
            "fabric": {"step": "1/8 yd"},
        },
    )
    (found,) = [each for each in plan["materials"]["fabrics"] if each["fabric"] == "border"]
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(83 * INCH)
    assert found["methods"]["layout"]["length_mm"] <= 83 * INCH + 1e-6
    assert found[names.BUY] == "2 3/8 yd"


@pytest.mark.parametrize("grain", ["half-turn", "fixed"])
def test_the_shorter_two_lie_end_to_end(studio: Studio, grain: str) -> None:
    """2 of 11 x 70 and 2 of 11 x 50 in of 42: 50 + 50 in one column, 100 in; in rows 70 + 50 = 120.

    100 / 4.5 = 22.2, 23 eighths: 2 7/8 yd. No piece is turned, so a print with a top allows it.
    """
    found = _cloth(
        studio, _size("side", "11", "70", grain=grain), _size("end", "11", "50", grain=grain)
    )
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(100 * INCH)
    assert found[names.BUY] == "2 7/8 yd"
    assert found["cutting"]["instructions"][1:] == [
        (
            "end: Cut 1 strip 100 in x width of fabric; from it 1 rectangle 11 in by 100 in; cut "
            "it across, 50 in from one end: 2 rectangles."
        ),
        (
            "side: From the rest of the strip for end cut 1 strip 70 in x 31 in; from it 2 "
            "rectangles 11 in by 70 in."
        ),
    ]
    side, end = found["pieces"]
    assert (
        end["method"]
        == "in pairs: 2 from each rectangle of 11 in by 100 in, cut across; 1 rectangle"
    )
    assert "method" not in side
    assert found["cutting"]["picture"].count('class="piece"') == 4


def test_rows_stay_rows_where_that_is_no_longer(studio: Studio) -> None:
    """Two widths of 15 in lie side by side in 42: 60 + 50 in; 50 + 50 beside one of 60, 160 in.

    Four of 10 in lie side by side: 70 in.
    """
    found = _cloth(studio, _size("side", "15", "60"), _size("end", "15", "50"))
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(110 * INCH)
    assert "across" not in found["cutting"]["instructions"][-1]
    found = _cloth(studio, _size("side", "10", "70"), _size("end", "10", "50"))
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(70 * INCH)
