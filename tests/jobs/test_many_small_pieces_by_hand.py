"""Orders of hundreds of small pieces on two sheets, the lengths of both worked by hand."""

from __future__ import annotations

from tests.jobs import names
from tests.jobs.studio import Json, Studio


def test_two_sheets_take_no_more_than_columns_by_hand(studio: Studio) -> None:
    """900 hexagons of side 10 mm, 1 mm apart, from sheets of 600 by 400 mm to their edges.

    In a column they stand flat on flat, 17.321 + 1 mm apart: 21 in 400 mm, also half a step up.
    Columns stand 18.321 sin 60 = 15.866 mm apart: 37 of them go on a sheet, 777, and 6 hold the
    other 123. With 20 mm for the last column of each, 36 x 15.866 + 20 and 5 x 15.866 + 20 are
    690.5 of 600 mm. Above 400 pieces on a load only grids and stepped rows were shared out: 696 mm.
    """
    run: Json = {
        "cut": "template",
        "cutter": {
            "tool": {"kind": "pen"},
            "bed": {"width": 600, "height": 400},
            "margins": dict.fromkeys(("left", "right", "top", "bottom"), 0),
        },
        "gap": 1,
        "effort": "quick",
        "formats": ["svg"],
        "material": {"name": "card", "kind": "card"},
    }
    pieces = [
        {"id": "H", "shape": {"kind": "hexagon", "side": 10}, names.QUANTITY: 900},
    ]
    body = {"title": "Shingle", "units": "mm", "pieces": pieces, "runs": [run]}
    loads = studio.calculated("/v1/layouts", body)["runs"][0]["loads"]
    assert sum(load["repeats"] for load in loads) == 2
    assert sum(load["used"]["share"] * load["repeats"] for load in loads) <= 690.5 / 600.0
