"""Burgees of both hands through three plies face to face, in an oval hoop of unequal margins."""

from __future__ import annotations

import pytest
import shapely

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Burgees of both hands",
    "units": "mm",
    "pieces": [
        {
            "id": name,
            "shape": {"kind": "right_triangle", "width": 60, "height": 90, "hand": hand},
            "seam_allowance": 6,
            "quantity": 6,
        }
        for name, hand in (("R", "right"), ("L", "left"))
    ],
    "runs": [
        {
            "cut": "patch",
            "layers": 3,
            "stack": "face_to_face",
            "effort": "quick",
            "ties": {"count": 0},
            "cutter": {
                "tool": {"kind": "laser", "kerf": "0.2 mm"},
                "bed": {"shape": "ellipse", "width": 400, "height": 260},
                "margins": {"left": 8, "right": 8, "top": 8, "bottom": 20},
            },
            "formats": ["svg", "plan"],
            "material": {"name": "bunting", "kind": "fabric"},
        }
    ],
}


def test_burgees_three_plies(studio: Studio) -> None:
    """Of 3 plies 2 lie right side up: an outline gives 2 of its own hand and 1 of the other.

    6 + 6 take 4 outlines, 2 of each hand: 2 x 2 + 2 x 1 = 6 of each, nothing to spare (3 of one
    hand and 1 of the other would give 7 and 5). A patch has legs of 60 + 6 + 6 cot(a / 2), where
    tan a = 90 / 60 is the corner at the short leg: cot(28.155) = 1.8685, 77.21 mm; and 90 + 6 + 6
    cot(16.845) = 3.3028, 115.82 mm: 4471.2 mm2, half of 77.21 x 115.82. The beam's middle runs
    0.1 mm outside: 0.1 x 332.2 mm more round it. At the opening's lower edge the head reaches
    20 mm down, so the beam stays 20 mm above it, 8 mm from the top and the sides.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    (load,) = run.loads
    assert (load.repeats, load.outlines, load.pieces) == (1, {"R": 2, "L": 2}, {"R": 6, "L": 6})
    assert run.total("R") == run.total("L") == (6, 6, 0)
    cells = foreign.cells(foreign.svg(load.file("svg")))
    assert [each.area for each in cells] == pytest.approx([4471.2 + 33.2] * 4, abs=1.0)
    rim = shapely.Point(0, 0).buffer(1.0, quad_segs=4000)
    opening = shapely.transform(rim, lambda xy: xy * [200, 130] + [200, 130])
    drawn = foreign.drawn(foreign.plan(load.file("plan")))
    assert drawn.distance(opening.exterior) >= 8.0 - 0.01
    # 20 mm below any point of a stroke is still inside.
    lowered = shapely.transform(drawn, lambda xy: xy - [0, 20 - 0.01])
    assert opening.covers(lowered)
    assert kit.sheet.says("Load bunting, 3 layers, in pairs, right sides together")
    assert kit.sheet.together("R gives 2 of R", "1 of L")
    assert kit.sheet.together("L gives 2 of L", "1 of R")
    assert kit.sheet.together("20 mm", "bottom")
