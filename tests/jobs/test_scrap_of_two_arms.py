"""A scrap like an L: what is left in both arms is measured to the scrap's own sides.

The arms are 4 in wide and 10 in long; 1/16 in is kept from the edges, so pieces lie between 1/16
and 9 15/16 in, in an arm between 1/16 and 3 15/16 in. Five squares of 1.9 in (1.4 in and 1/4 in
all round) stand in the upright arm: 5 x 1.9 = 9.5 in of 9.875 in. Beside them stay

- of the lying arm, from 1/16 + 1.9 = 1.9625 in to 9.9375 in and 3.875 in high: 7.975 by 3.875 in;
- of the upright arm, from 1.9625 in to 3.9375 in and above the other: 1.975 by 6 in.

A square of 1.9 in fits into both, so both are kept: marked down to 1/16 in, 7 15/16 by 3 7/8 in and
1 15/16 by 6 in.
"""

from __future__ import annotations

import copy
import math
from typing import Any

import pytest

from tests.jobs.studio import Studio

REQUEST: dict[str, Any] = {
    "title": "Two arms",
    "units": "in",
    "pieces": [
        {
            "id": "A",
            "shape": {"kind": "square", "side": "1.4"},
            "seam_allowance": "1/4",
            "quantity": 5,
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "gap": 0,
            "cutter": {"tool": {"kind": "pen"}, "bed": {"width": 12, "height": 12}},
            "material": {
                "name": "oilcloth",
                "kind": "fabric",
                "edge_clearance": "1/16",
                "stock": [
                    {
                        "name": "L",
                        "outline": [[0, 0], [10, 0], [10, 4], [4, 4], [4, 10], [0, 10]],
                    }
                ],
            },
        }
    ],
}


def test_both_arms_are_kept_as_large_as_they_are(studio: Studio) -> None:
    """Both rests hold a square: neither may be called smaller than it is."""
    kit = studio.kit(REQUEST)
    (load,) = kit.run().loads
    assert load.outlines == {"A": 5}
    rests = [
        (each["width_mm"] / 25.4, each["height_mm"] / 25.4) for each in load.payload["offcuts"]
    ]
    assert rests == [pytest.approx((7.975, 3.875)), pytest.approx((1.975, 6.0))]
    assert kit.sheet.together("Keep what is left", "7 15/16 x 3 7/8 in", "1 15/16 x 6 in")


def test_the_scrap_is_recognised_by_its_corners_and_area(studio: Studio) -> None:
    """An L has 6 corners and 10 x 4 + 4 x 6 = 64 in2, and not the 100 of the box around it."""
    kit = studio.kit(REQUEST)
    assert kit.sheet.says(
        'Take from the stock: 1 piece marked "L", with 6 corners, 64 sq in, 10 x 10 in at its '
        "widest."
    )
    (entry,) = kit.run().payload["stock"]
    assert entry["outline"] == {
        "corners": 6,
        "area_mm2": pytest.approx(64 * 25.4**2),
        "width_mm": 254.0,
        "height_mm": 254.0,
    }


def test_a_traced_scrap_has_no_corners_to_count(studio: Studio) -> None:
    """A rough disc of 40 points, 5 in round its middle: 5 x 5 x 40 / 2 x sin(9 deg) = 78.2 in2.

    A point in the middle of an edge of the L is no corner of it: it still has 6.
    """
    points = [(5 * math.cos(n * math.tau / 40), 5 * math.sin(n * math.tau / 40)) for n in range(40)]
    body = copy.deepcopy(REQUEST)
    (entry,) = body["runs"][0]["material"]["stock"]
    on_an_edge = [*entry["outline"], [0, 5]]
    entry["outline"] = [list(each) for each in points]
    body["pieces"][0]["quantity"] = 2
    words = 'marked "L", of an irregular outline, 78.2 sq in, 10 x 10 in at its widest'
    assert studio.kit(body).sheet.says(words)
    entry["outline"] = on_an_edge
    assert studio.kit(body).sheet.says("with 6 corners, 64 sq in")
