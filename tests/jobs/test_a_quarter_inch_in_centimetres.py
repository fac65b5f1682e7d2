"""A class in centimetres, its bed and seams in inches: a quarter inch is 0.635 cm throughout."""

from __future__ import annotations

import re

import pytest

from tests.jobs.sheet import Sheet
from tests.jobs.studio import Json, Studio

SIDES = ("left", "right", "top", "bottom")
REQUEST: Json = {
    "title": "Pier class",
    "copies": 2,
    "units": "cm",
    "pieces": [
        {
            "id": "H",
            "shape": {"kind": "hexagon", "side": 2.5},
            "quantity": 4,
            "seam_allowance": "1/4 in",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {
                "tool": {"kind": "pen"},
                "bed": {"width": "12 in", "height": "12 in"},
                "margins": dict.fromkeys(SIDES, "1/4 in"),
            },
            "formats": ["svg"],
            "effort": "quick",
            "material": {"name": "card", "kind": "card", "width": 21, "height": 20},
        }
    ],
}


@pytest.mark.parametrize("second", [{}, {"second_units": "in"}])
def test_one_value_on_sheet_labels_and_recut(studio: Studio, second: Json) -> None:
    """1/4 in = 6.35 mm = 0.635 cm: the margin, the card's place and the seam allowance.

    12 in are 30.48 cm. The recut's card of 21 x 20 cm lies at the margins too.
    """
    kit = studio.kit(REQUEST | second)
    recut = studio.recut(kit, 1, {"H": 1})
    for sheet in (kit.sheet, kit.labels, recut.sheet):
        assert _near_a_quarter_inch(sheet) == {"0.635 cm"}
    assert kit.sheet.together("30.48 x 30.48 cm", "0.635 cm", "kept free")
    assert kit.sheet.together("lower left corner exactly 0.635 cm")
    assert kit.sheet.together("seam allowance 0.635 cm")
    assert kit.labels.together("0.635 cm", "allowance")


def _near_a_quarter_inch(sheet: Sheet) -> set[str]:
    return set(re.findall(r"(?<![\d.])0\.6[34]\d* cm", sheet.text))
