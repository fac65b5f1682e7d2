"""A sheet that covers the bed: margins keep pieces off its edges, whatever clearance is asked."""

from __future__ import annotations

from typing import Any

from tests.jobs.studio import Studio


def test_a_sheet_as_large_as_the_bed_needs_no_clearance_inside_margins(studio: Studio) -> None:
    """The sheet covers the bed of 300 x 200 mm; margins of 12, 8, 15 and 25 mm keep all off it.

    Pieces lie between x = 12 and 292 and y = 25 and 185 mm, 8 mm or more inside the sheet. A
    clearance of 0 changes nothing, so there is nothing to warn about. Without margins a drag blade
    needs its offset there: the warning is right.
    """
    body: dict[str, Any] = {
        "units": "mm",
        "pieces": [{"id": "S", "shape": {"kind": "square", "side": 50}, "quantity": 4}],
        "runs": [
            {
                "cut": "template",
                "gap": 2,
                "cutter": {
                    "tool": {"kind": "drag_blade"},
                    "bed": {"width": 300, "height": 200},
                    "margins": {"left": 12, "right": 8, "top": 15, "bottom": 25},
                },
                "material": {
                    "name": "card", "kind": "card", "width": 300, "height": 200,
                    "edge_clearance": 0,
                },
                "formats": ["svg"],
            }
        ],
    }  # fmt: skip
    assert "sheet's edge" not in studio.kit(body).warnings
    body["runs"][0]["cutter"]["margins"] = dict.fromkeys(("left", "right", "top", "bottom"), 0)
    assert "it runs off the sheet" in studio.kit(body).warnings
