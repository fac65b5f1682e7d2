"""Left and right parallelograms from cloth folded right sides together."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Port and starboard",
    "units": "in",
    "pieces": [
        {
            "id": "PR",
            "shape": {
                "kind": "parallelogram",
                "base": "3",
                "side": "2",
                "angle_deg": 45,
                "hand": "right",
            },
            "quantity": 20,
            "seam_allowance": "1/4",
        },
        {
            "id": "PL",
            "shape": {
                "kind": "parallelogram",
                "base": "3",
                "side": "2",
                "angle_deg": 45,
                "hand": "left",
            },
            "quantity": 20,
            "seam_allowance": "1/4",
        },
        {
            "id": "HX",
            "shape": {"kind": "hexagon", "side": "1"},
            "quantity": 20,
            "seam_allowance": "1/4",
        },
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": "laser-bed",
            "layers": 2,
            "stack": "face_to_face",
            "formats": ["svg"],
            "material": {"name": "cotton", "kind": "fabric"},
            "ties": {"count": 0},
            "effort": "quick",
        }
    ],
}


def test_face_to_face(studio: Studio) -> None:
    """One cut through two layers face to face gives a right and a left one.

    20 right and 20 left come from 20 outlines, whichever hand is drawn; 20 hexagons, their own
    mirror images, from 10. 30 outlines, nothing to spare. Areas: the parallelogram has
    3 x 2 sin 45 = 4.243 in2, its patch + 1/4 x 10 + 1/16 x (2 cot 22.5 + 2 cot 67.5) = 4.243 +
    2.5 + 0.354 = 7.0962 in2 = 4578.2 mm2; the hexagon's 4.3146 in2 = 2783.6 mm2:
    20 x 4578 + 10 x 2784 = 119,400 of the bed's 230,100 mm2, one load.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    pairs = run.outlines.get("PR", 0) + run.outlines.get("PL", 0)
    assert (pairs, run.outlines["HX"]) == (20, 10)
    for name in ("PR", "PL", "HX"):
        assert run.total(name) == (20, 20, 0)
        assert kit.sheet.counts(name, 20, 20, 0)
    cells = [
        cell.area
        for load in run.loads
        for cell in foreign.cells(foreign.svg(load.file("svg")))
        for _ in range(load.repeats)
    ]
    # The beam runs 0.1 mm outside: a tenth of the way round (325.9 and 196.4 mm) more.
    assert sorted(cells) == pytest.approx([2783.6 + 19.7] * 10 + [4578.2 + 32.6] * 20, abs=0.7)
    assert run.load_count == 1
    assert kit.sheet.says("right sides together", "2 layers")
