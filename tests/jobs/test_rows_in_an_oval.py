"""Hexagons that keep to one turn, as many as rows by hand hold in an oval bed."""

from __future__ import annotations

from typing import Any

from tests.jobs.studio import Studio

BODY: dict[str, Any] = {
    "units": "mm",
    "pieces": [
        {"id": "H", "shape": {"kind": "hexagon", "side": 20}, "quantity": "max", "grain": "fixed"}
    ],
    "runs": [
        {
            "cut": "template",
            "gap": 0,
            "cutter": {
                "tool": {"kind": "pen"},
                "bed": {"shape": "ellipse", "width": 300, "height": 200},
                "margins": {"left": 0, "right": 0, "top": 0, "bottom": 0},
            },
            "material": {"name": "card", "kind": "card"},
        }
    ],
}


def test_rows_stand_up_where_the_turn_is_stated(studio: Studio) -> None:
    """Hexagons are drawn with flats above and below: a honeycomb of them stands in columns.

    Columns are 30 mm apart, flats 20 sqrt 3 = 34.64 mm. About the middle of 300 by 200 mm, by
    ruler: 5 in the middle, 4 at 30 mm to each side, 5 at 60, 4 at 90, 1 at 120: 5 + 2 x 14 = 33.
    The highest corners lie within the oval, (x / 150)^2 + (y / 100)^2 at most 1: 86.60 mm up at
    70 mm 0.218 + 0.750; 69.28 up at 100 mm 0.444 + 0.480; 17.32 up at 130 mm 0.751 + 0.030; the
    outermost, at 140 mm, 0.871. The area holds pi x 150 x 100 / 1039.23 = 45 at most.
    """
    (run,) = studio.calculated("/v1/layouts", BODY)["runs"]
    (load,) = run["loads"]
    assert 33 <= load["outlines"]["H"] <= 45
    assert {each["turn_deg"] for each in load["placements"]} == {0.0}
