"""Whole sets on a die: of dies that take as many presses, the one that leaves fewest spares."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio

pytestmark = pytest.mark.usefixtures("in_process")


def _piece(name: str, shape: dict[str, Any], quantity: int) -> dict[str, Any]:
    return {
        "id": name,
        "shape": shape,
        names.QUANTITY: quantity,
        "seam_allowance": 6,
        "grain": "half-turn",
    }


def test_a_die_holds_no_more_sets_than_its_presses_need(studio: Studio) -> None:
    """60 squares of 50 mm and 120 rectangles of 50 x 25 mm, 6 mm all round, through 5 layers.

    12 outlines of 62 x 62 mm and 24 of 62 x 37. Rules stand 2.38 + 0.71 = 3.09 mm apart, so a
    set's squares and rectangles take 65.1 x 65.1 and twice 65.1 x 40.1 mm; the 280 mm between
    margins of 10 hold four columns, and seven sets at most: 7 x 145.3 mm of 4 x 283.1. Two presses
    do with seven sets, and with six, which leave no spares and take 6 x 248 + 12 x 198 = 3864 mm
    of rule instead of 4508.
    """
    body = {
        "title": "Slipway die",
        "units": "mm",
        "pieces": [
            _piece("A", {"kind": "square", "side": 50}, 60),
            _piece("B", {"kind": "rectangle", "width": 50, "height": 25}, 120),
        ],
        "runs": [
            {
                "cut": "patch",
                "sets": True,
                "layers": 5,
                "cutter": {
                    "tool": {"kind": "steel_rule_die", "rule": 0.71},
                    "bed": {"width": 300, "height": 300},
                    "margins": {"left": 10, "right": 10, "top": 10, "bottom": 10},
                },
                "material": {"name": "cotton", "kind": "fabric"},
            }
        ],
    }
    run = studio.calculated("/v1/layouts", body)["runs"][0]
    (load,) = run["loads"]
    assert (load["repeats"], load[names.OUTLINES]) == (2, {"A": 6, "B": 12})
    assert (run["presses"], run["spare"]) == (2, 0)
    assert load["cut_length_mm"] == pytest.approx(3864.0)
