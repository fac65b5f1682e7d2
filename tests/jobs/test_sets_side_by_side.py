"""Whole sets on a sheet, with the kinds in columns beside each other as hands would lay them."""

from __future__ import annotations

from typing import Any

from tests.jobs.studio import Studio


def test_eight_corners_and_sides_of_stars_share_a_sheet(studio: Studio) -> None:
    """16 squares of 60 mm and 16 quarter-square triangles with legs of 60, 6 mm allowance.

    A square as cut is 72 mm. A triangle's leg grows by 6 (2 + sqrt 2) = 20.485 mm to 80.485; two
    that share a long side, 2 mm apart, are a square of 80.485 + 2 sqrt 2 / 2 = 81.9 mm.

    The sheet of 360 x 260 mm less 2 mm all round is 356 x 256. By hand: a column of three pairs,
    3 x 81.9 + 2 x 2 = 249.7 mm; a column of one pair and two squares, 81.9 + 2 x 72 + 4 = 229.9;
    two columns of three squares, 220: 2 x 81.9 + 2 x 72 + 3 x 2 = 313.8 mm wide. That is 8 and 8,
    eight sets of one and one: two sheets for 16.
    """
    margins = dict.fromkeys(("left", "right", "top", "bottom"), 10)
    body: dict[str, Any] = {
        "units": "mm",
        "pieces": [
            {"id": "B", "shape": {"kind": "square", "side": 60}},
            {"id": "C", "shape": {"kind": "quarter_square_triangle", "short_side": 60}},
        ],
        "runs": [
            {
                "cut": "patch",
                "sets": True,
                "cutter": {
                    "tool": {
                        "kind": "indexed_blade",
                        "positions_deg": [0, 45, 90, 135],
                        "blade_width": 0.8,
                        "step": 0.3,
                    },
                    "bed": {"width": 400, "height": 300},
                    "margins": margins,
                },
                "gap": 2,
                "material": {
                    "name": "white",
                    "kind": "stiffened_fabric",
                    "width": 360,
                    "height": 260,
                },
                "formats": ["dxf"],
            }
        ],
    }
    for piece in body["pieces"]:
        piece |= {"quantity": 16, "seam_allowance": 6}
    run = studio.kit(body).run()
    assert run.load_count == 2
    assert all(load.outlines == {"B": 8, "C": 8} for load in run.loads)
