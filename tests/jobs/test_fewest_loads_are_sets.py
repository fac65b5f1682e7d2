"""Mixed kinds whose fewest loads are all alike: found although sets are not asked for."""

from __future__ import annotations

from typing import Any

from tests.jobs.studio import Studio

SIZES = {"A": (165.1, 146.05), "B": (241.3, 88.9), "C": (165.1, 107.95)}


def test_one_of_each_on_every_sheet(studio: Studio) -> None:
    """Six rectangles each of A 165.1 x 146.05, B 241.3 x 88.9 and C 165.1 x 107.95 mm, gap 1.

    The sheet of 293.6 mm square less 1 mm all round is 291.6 square. Two of A never share it: side
    by side they are 2 x 146.05 + 1 = 293.1 mm. So six sheets are the least. By hand: B below,
    88.9 mm high; above it A and C upright, 146.05 + 1 + 107.95 = 255 mm wide and
    88.9 + 1 + 165.1 = 255 mm high. Each sheet holds one of each: six sheets.
    """
    body: dict[str, Any] = {
        "units": "mm",
        "pieces": [
            {"id": name, "shape": {"kind": "rectangle", "width": w, "height": h}, "quantity": 6}
            for name, (w, h) in SIZES.items()
        ],
        "runs": [
            {
                "cut": "template",
                "gap": 1,
                "cutter": {
                    "tool": {"kind": "laser", "kerf": 0.2},
                    "bed": {"width": 400, "height": 400},
                },
                "material": {"name": "card", "kind": "card", "width": 293.6, "height": 293.6},
                "formats": ["svg"],
            }
        ],
    }
    run = studio.kit(body).run()
    assert run.load_count == 6
    assert sum(load.repeats for load in run.loads) == 6
    assert all(load.outlines == {"A": 1, "B": 1, "C": 1} for load in run.loads)
