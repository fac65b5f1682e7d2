"""How many sheets of which size a plan's sheet asks for."""

from __future__ import annotations

import pytest

from tests.jobs.sheet import Sheet
from tests.jobs.studio import Json, Studio

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")


def _sheet(studio: Studio, body: Json) -> Sheet:
    form = {"Accept": "application/pdf"}
    return Sheet(studio.client.post("/v1/quilt-plans", json=body, headers=form).data)


def test_each_size_on_sheets_of_its_own(studio: Studio) -> None:
    """Blocks of 8 in, sashing of 2 in, also outside: 5 x 6 blocks are 52 x 62 in.

    Letter less 1/4 in is 8 x 10 1/2 in. 30 blocks: one to a sheet, 30. Sashing of 2 x 8 in, 6 x 6 +
    7 x 5 = 71: five to a sheet with gaps of 1 mm (10.16 in), 15 sheets. Cornerstones of 2 in, 42:
    3 x 5 = 15 to a sheet, 3. In all 48; mixed they would take fewer, so the sheet says how.
    """
    plan: Json = {
        "units": "in",
        "tiling": "square",
        "side": "8",
        "setting": {"sashing": {"width": "2", "outer": True}},
        "quilt": {"width": "52", "length": "62"},
    }
    sheet = _sheet(studio, plan)
    assert sheet.together("143 templates", "48 sheets of letter", "size", "own", within=40)


def test_larger_sheets_are_not_called_letter(studio: Studio) -> None:
    """Squares of 12 in, 3 x 4: none fits on letter, 12 sheets of 12 1/2 in or a little more."""
    plan: Json = {
        "units": "in",
        "tiling": "square",
        "side": "12",
        "quilt": {"width": "36", "length": "48"},
    }
    sheet = _sheet(studio, plan)
    assert sheet.together("12 templates", "12 sheets of 12 1/2 in x 12 1/2 in", within=4)
    assert sheet.is_silent_about("sheets of letter")


def test_a4_is_spelt_as_the_trade_does(studio: Studio) -> None:
    """Squares of 12 cm: 1 x 2 to a sheet of 197.3 x 284.3 mm; 7 x 9 = 63 take 32."""
    plan: Json = {
        "units": "cm",
        "tiling": "square",
        "side": "12",
        "quilt": {"width": "84", "length": "108"},
        "paper": {"sheet": "a4"},
    }
    form = {"Accept": "text/html"}
    page = studio.client.post("/v1/quilt-plans", json=plan, headers=form).get_data(as_text=True)
    assert "63 templates, 32 sheets of A4" in page
