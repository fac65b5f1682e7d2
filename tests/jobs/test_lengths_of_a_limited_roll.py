"""Pieces of one kind that take several lengths of a roll, because only so much is drawn off."""

from __future__ import annotations

import pytest

from tests.jobs import names
from tests.jobs.studio import Json, Studio


def _hexagons(quantity: int, length: int, effort: str = "normal") -> Json:
    """Return hexagons of side 40 with 6 mm on a roll of 1370 mm, 10 mm kept free all round."""
    cutter = {
        "tool": {"kind": "laser", "kerf": "0.2 mm"},
        "bed": {"shape": "roll", "width": 1370, "length": length},
        "margins": dict.fromkeys(("left", "right", "top", "bottom"), 10),
    }
    run = {
        "cut": "patch",
        "cutter": cutter,
        "gap": 2,
        "effort": effort,
        "formats": ["svg"],
        "material": {"name": "linen", "kind": "fabric"},
    }
    piece = {
        "id": "H",
        "shape": {"kind": "hexagon", "side": 40},
        names.QUANTITY: quantity,
        "seam_allowance": 6,
    }
    return {"title": "Rope walk", "units": "mm", "pieces": [piece], "runs": [run]}


@pytest.mark.parametrize(
    ("quantity", "by_hand"),
    [
        # 27 rows of 16 and 15 in turn, corners along the roll, on the first length: 419, 26 x
        # 72.124 + 93.856 = 1969.1 mm of 1979.8. On the second, 9 columns of 5 and 9 of 4 between
        # them, flats along it: 81, 4 x 83.282 + 81.282 = 414.4 mm.
        (500, 1969.1 + 414.4),
        # 25 rows of 16 and 15: 388, 24 x 72.124 + 93.856 = 1824.8 mm. 6 rows: 93, 5 x 72.124
        # + 93.856 = 454.5 mm; 388 and 93 are one more than 480.
        (480, 1824.8 + 454.5),
    ],
)
def test_each_length_is_as_short_as_rows_by_hand(
    studio: Studio, quantity: int, by_hand: float
) -> None:
    """Cut hexagons 81.282 by 93.856 mm, 2 mm apart, from 1350 mm: rows 83.282, 72.124 mm apart.

    Each length has two margins of 10 mm beside its pieces, and half a slot at both ends (0.24 mm,
    as the warning says). All pieces on the first length were a loose grid: 308 on 1.85 m.
    """
    preview = studio.calculated("/v1/layouts", _hexagons(quantity, 2000, "quick"))
    run = preview["runs"][0]
    assert sum(load["repeats"] for load in run["loads"]) == 2
    assert all(load["length_mm"] <= 2000 for load in run["loads"])
    assert run["roll"]["length_mm"] <= by_hand + 2 * 20.3
