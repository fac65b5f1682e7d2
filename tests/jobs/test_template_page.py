"""Templates printed on the sheet they are cut from: one page for each load."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio


def request(paper: str, width: str, height: str) -> dict[str, Any]:
    sides = ("left", "right", "top", "bottom")
    return {
        "title": "Papers for the net loft",
        "units": "mm",
        "pieces": [
            {"id": "H", "shape": {"kind": "hexagon", "side": "25"}, "quantity": 44},
        ],
        "runs": [
            {
                "cut": "template",
                "cutter": {
                    "tool": {"kind": "pen"},
                    "bed": {"width": width, "height": height},
                    "margins": dict.fromkeys(sides, "10"),
                    "formats": {"pdf": {"paper": paper}},
                },
                "material": {"name": "paper", "kind": "paper"},
                "formats": ["pdf"],
                "gap": "1",
            }
        ],
    }


def test_a_sheet_of_hexagons_is_one_page(studio: Studio) -> None:
    """A4 less 10 mm all round is 190 x 277 mm; a printer leaves 197.3 x 284.3 mm to print on.

    Hexagons of 25 mm are 50 mm across corners and 43.30 mm across flats; columns 37.5 + 0.866 mm
    apart: 50 + 3 x 38.37 = 165.1 mm, four columns. Down the sheet 6 x 43.30 + 5 = 264.8 mm, and
    half a pitch lower 5: 6 + 5 + 6 + 5 = 22, and 44 take two equal loads. Everything drawn is
    within what a printer reaches, so a load is the check page and one page, and no hexagon is cut
    in two by its edge: 22 outlines of 150 mm on the page.
    """
    kit = studio.kit(request("a4", "210", "297"))
    (load,) = kit.run().loads
    assert (load.repeats, load.outlines) == (2, {"H": 22})
    data = load.file("pdf")
    assert len(foreign.pdf_pages_mm(data)) == 2
    lines = foreign.pdf(data, 1)
    outlines = [line for line in lines if line.length == pytest.approx(150.0, abs=0.05)]
    assert len(outlines) == 22
    xs = [x for line in outlines for x, _ in line.points]
    ys = [y for line in outlines for _, y in line.points]
    # The sheet keeps its place on the page: nothing nearer to an edge than the bed's margin.
    assert min(xs) >= 10.0 - 0.01
    assert max(xs) <= 200.0 + 0.01
    assert min(ys) >= 10.0 - 0.01
    assert max(ys) <= 287.0 + 0.01


def test_a_board_takes_the_pages_that_its_templates_need(studio: Studio) -> None:
    """A board of 400 x 250 mm with templates on 380 x 230 mm of it, printed on A4.

    A page shows 197.3 x 284.3 mm and neighbours overlap by 10 mm: two upright pages show 384.6 mm
    and hold the templates, although the board itself would take three (390 / 187.3 = 2.1). With
    the check page 3.
    """
    body = request("a4", "400", "250")
    body["pieces"][0]["quantity"] = 33
    (load,) = studio.kit(body).run().loads
    assert len(foreign.pdf_pages_mm(load.file("pdf"))) == 3
