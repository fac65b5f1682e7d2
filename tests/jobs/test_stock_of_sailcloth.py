"""Squares of sailcloth from offcuts, half sheets and whole ones: what is cut from what."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Kit, Studio

#: Two offcuts that cost nothing more, four half sheets at 3.00, two whole ones at 10.00.
STOCK = [
    {"name": "offcut", "width": 320, "height": 210, "count": 2, "since": "2026-05-01"},
    {
        "name": "half sheet",
        "width": 500,
        "height": 400,
        "count": 4,
        "price": "3.00",
        "currency": "EUR",
        "since": "2026-03-01",
    },
    {"name": "whole sheet", "width": 1000, "height": 800, "count": 2, "price": "10.00"},
]


def _body(quantity: int, **material: Any) -> dict[str, Any]:
    return {
        "title": "Kites for the regatta",
        "units": "mm",
        "pieces": [
            {
                "id": "K",
                "shape": {"kind": "square", "side": 88},
                "quantity": quantity,
                "seam_allowance": 6,
                "grain": "fixed",
            }
        ],
        "runs": [
            {
                "cut": "patch",
                "gap": 0,
                "formats": ["svg"],
                "cutter": {
                    "tool": {"kind": "pen"},
                    "bed": {"width": 1000, "height": 800},
                },
                "material": {
                    "name": "sailcloth",
                    "kind": "fabric",
                    "edge_clearance": 0,
                    "stock": STOCK,
                    **material,
                },
            }
        ],
    }


def _used(kit: Kit) -> dict[str, tuple[int, int]]:
    """Return the used and the unused sheets of each entry."""
    return {row["name"]: (row["used"], row["unused"]) for row in kit.run().payload["stock"]}


def _pieces(kit: Kit) -> dict[str, int]:
    """Return the pieces that are cut from each entry."""
    found: dict[str, int] = {}
    for load in kit.run().loads:
        name = load.payload["stock"]
        found[name] = found.get(name, 0) + load.pieces["K"] * load.repeats
    return found


def test_lowest_cost(studio: Studio) -> None:
    """A patch is 88 + 2 x 6 = 100 mm; nothing between them, one way up.

    An offcut holds 3 x 2 = 6 (320 / 100, 210 / 100), a half sheet 5 x 4 = 20, a whole one 10 x 8
    = 80. 110 squares: the offcuts are free and hold 12, 98 are left. Four half sheets hold 80 and
    a whole one too: neither is enough alone; a whole one and a half hold 100 for 13.00, two whole
    ones cost 20.00, two halves with a whole one 16.00. One offcut less and 106 are too few. So:
    2 offcuts, 1 half sheet, 1 whole sheet, 13.00; 12 + 20 = 32, and 78 of 80 on the whole sheet.
    Left are 3 half sheets and 1 whole one.
    """
    kit = studio.kit(_body(110))
    run = kit.run()
    assert run.total("K") == (110, 110, 0)
    assert _used(kit) == {"offcut": (2, 0), "half sheet": (1, 3), "whole sheet": (1, 1)}
    assert _pieces(kit) == {"offcut": 12, "half sheet": 20, "whole sheet": 78}
    assert run.payload["stock_cost"] == "13.00"
    assert run.payload["stock_order"] == "lowest_cost"
    assert [row.get("cost") for row in run.payload["stock"]] == [None, "3.00", "10.00"]
    assert [load.number for load in run.loads] == list(range(1, len(run.loads) + 1))
    # Each file holds squares of one sheet, and they lie on it.
    sizes = {"offcut": (320, 210), "half sheet": (500, 400), "whole sheet": (1000, 800)}
    for load in run.loads:
        squares = foreign.polygons(foreign.svg(load.file("svg")))
        assert len(squares) == load.pieces["K"]
        assert [each.area for each in squares] == pytest.approx([1e4] * len(squares), abs=0.1)
        wide, high = sizes[load.payload["stock"]]
        left, bottom, right, top = foreign.drawn(foreign.svg(load.file("svg"))).bounds
        assert right - left <= wide + 0.01
        assert top - bottom <= high + 0.01
        assert load.payload["sheet"]["width_mm"] == wide
    # Used, and how many there are.
    assert kit.sheet.says('2 pieces marked "offcut"', '1 piece marked "half sheet"')
    assert kit.sheet.together('marked "half sheet"', "4 in stock")
    assert kit.sheet.together('marked "whole sheet"', "2 in stock")
    assert kit.sheet.says("Load sailcloth (half sheet)")


def test_oldest_first(studio: Studio) -> None:
    """The half sheets came in March, the offcuts in May, the whole sheets without a date.

    110 squares: four half sheets hold 80, two offcuts 12, 18 are left for a whole sheet: 12.00 +
    10.00 = 22.00.
    """
    kit = studio.kit(_body(110, stock_order="oldest_first"))
    assert _used(kit) == {"offcut": (2, 0), "half sheet": (4, 0), "whole sheet": (1, 1)}
    assert _pieces(kit) == {"half sheet": 80, "offcut": 12, "whole sheet": 18}
    assert kit.run().payload["stock_cost"] == "22.00"
    # The oldest is cut first.
    assert [load.payload["stock"] for load in kit.run().loads] == [
        "half sheet",
        "offcut",
        "whole sheet",
    ]


def test_short(studio: Studio) -> None:
    """The stock holds 2 x 6 + 4 x 20 + 2 x 80 = 252 squares; of 300 48 are missing.

    48 take three half sheets (60) for 9.00 or one whole sheet (80) for 10.00. Offcuts are not
    sold.
    """
    problem = studio.refused(_body(300))
    assert problem["type"].endswith("#not-enough-stock")
    assert problem["errors"][0]["pointer"] == "#/runs/0/material/stock"
    assert problem["shortfall"] == [
        {
            "run": 1,
            "missing": {"K": 48},
            "buy": [
                {"name": "half sheet", "count": 3, "cost": "9.00"},
                {"name": "whole sheet", "count": 1, "cost": "10.00"},
            ],
        }
    ]
    assert "48 of K" in problem["detail"]
    # A preview shows what there is room for.
    payload = studio.calculated("/v1/layouts", _body(300))
    (run,) = payload["runs"]
    assert run["shortfall"] == problem["shortfall"][0]
    assert run["totals"]["K"] == {"requested": 300, "made": 252, "spare": 0, "missing": 48}
    assert [row["unused"] for row in run["stock"]] == [0, 0, 0]


def test_in_two_plies(studio: Studio) -> None:
    """Two plies take two sheets a load: 110 squares are 55 outlines.

    Offcuts: one load of 6. Half sheets: two loads of 20 for 6.00 each. Whole sheets: one of 80 for
    20.00. 55 - 6 = 49 outlines are more than the 40 of the halves: a whole pair holds them alone,
    20.00; with the halves it would be more, and the offcuts and the halves hold but 46.
    """
    body = _body(110)
    body["runs"][0]["layers"] = 2
    kit = studio.kit(body)
    assert _used(kit) == {"offcut": (0, 2), "half sheet": (0, 4), "whole sheet": (2, 0)}
    assert kit.run().payload["stock_cost"] == "20.00"
    assert kit.run().total("K") == (110, 110, 0)
