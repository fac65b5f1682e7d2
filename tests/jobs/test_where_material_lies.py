"""Material of no stated size: how large it has to be, and where its corner lies on the mat."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Studio

#: Margins of a mat of 300 mm, mm.
MARGINS = {"left": 6, "right": 14, "top": 4, "bottom": 20}


def _body(**material: Any) -> dict[str, Any]:
    """Return 9 patches of 91 mm, in 3 rows of 3."""
    return {
        "title": "Sail bags",
        "units": "mm",
        "pieces": [
            {
                "id": "Q",
                "shape": {"kind": "square", "side": 81},
                "quantity": 9,
                "seam_allowance": 5,
            }
        ],
        "runs": [
            {
                "cut": "patch",
                "effort": "quick",
                "gap": 1,
                "cutter": {
                    "tool": {"kind": "drag_blade", "offset": "0.25 mm"},
                    "bed": {"width": 300, "height": 300},
                    "margins": MARGINS,
                },
                "material": {"name": "bonded drill", "kind": "stiffened_fabric", **material},
                "formats": ["svg"],
            }
        ],
    }


def test_what_is_said_to_be_enough_is_enough(studio: Studio) -> None:
    """Inside the margins lie x 6 to 286 and y 20 to 296; the blade's axis keeps 0.25 mm from them.

    1 mm is kept free at a sheet's edges: x 5.25 to 286.75 and y 19.25 to 296.75, out to whole mm
    5 to 287 and 19 to 297, which is 282 by 278 mm, its corner 5 mm from the left edge and 19 mm
    from the lower one. A piece of that size, stated and put there, takes one load as well: 3 x 91 +
    2 = 275 mm both ways, of 282 - 2 and 278 - 2.
    """
    kit = studio.kit(_body())
    (load,) = kit.run().loads
    assert load.outlines == {"Q": 9}
    size = kit.run().payload["material_size"]
    assert (size["width_mm"], size["height_mm"]) == pytest.approx((282.0, 278.0))
    place = "its lower left corner 5 mm from the mat's left edge and 19 mm from its lower edge"
    assert place in load.payload["steps"][0]
    assert kit.sheet.says("282 x 278 mm without selvedges")
    stated = studio.kit(_body(width=282, height=278, position={"x": 5, "y": 19}))
    (load,) = stated.run().loads
    assert load.outlines == {"Q": 9}
    sheet = stated.run().payload["sheet"]
    for each in load.payload["placements"]:
        assert each["x_mm"] - 45.5 >= sheet["x_mm"] + 1.0 - 1e-6
        assert each["y_mm"] + 45.5 <= sheet["y_mm"] + 278.0 - 1.0 + 1e-6
