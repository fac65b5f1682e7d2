"""Rectangles with a deep hem along one edge, on sheets of stiffened linen."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Bunting with a deep hem",
    "units": "in",
    "pieces": [
        {
            "id": "R",
            "shape": {"kind": "rectangle", "width": "8", "height": "5"},
            "quantity": 12,
            "seam_allowance": {"default": "1/4", "edges": {"0": "1"}},
            "grain": "fixed",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {
                "tool": {"kind": "drag_blade"},
                "bed": {"width": 24, "height": 24},
                "margins": {"left": "1/2", "right": "1/2", "top": "1/2", "bottom": "1/2"},
            },
            "material": {
                "name": "stiff linen",
                "kind": "stiffened_fabric",
                "width": "20",
                "height": "14",
            },
            "formats": ["svg"],
            "effort": "quick",
        }
    ],
}


def test_deep_hems(studio: Studio) -> None:
    """8 x 5 in, 1 in below and 1/4 in at the other edges: 8 1/2 x 6 1/4 in, 53.125 in2.

    The sheet of 20 x 14 in lies 1/2 in from the mat's edges, pieces 1 mm inside it: 19.92 x
    13.92 in. Grain fixed: two side by side (17 in and a gap of 1 mm), two above each other (12 1/2
    in): 4 a sheet, 12 are 3 sheets, all alike.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    patch = kit.piece("R")["patch"]
    assert (patch["width_mm"], patch["height_mm"]) == pytest.approx((8.5 * 25.4, 6.25 * 25.4))
    assert patch["area_mm2"] == pytest.approx(53.125 * 25.4**2)
    _, least, most = kit.allowance("R")
    assert (least, most) == pytest.approx((6.35, 25.4))
    (load,) = run.loads
    assert (load.repeats, load.outlines) == (3, {"R": 4})
    assert run.min_loads == 3
    assert run.usable_area == pytest.approx((13.7, 13.7, 13.7 + 506, 13.7 + 353.6))
    rings = foreign.cells(foreign.svg(load.file("svg")))
    assert len(rings) == 4
    for ring in rings:
        left, bottom, right, top = ring.bounds
        assert (right - left, top - bottom) == pytest.approx((215.9, 158.75), abs=0.6)
    kit.sheet.says("1/2 in", "20 x 14 in", "8 1/2 x 6 1/4 in")
    kit.sheet.counts("R", 12, 12, 0)
