"""Six odd shapes, two of each, on one board without a gap: a layout that must not refuse itself."""

from __future__ import annotations

import pytest

from tests.jobs import foreign, names
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Odd lot for the sail loft",
    "units": "in",
    names.DOCUMENTS: [],
    "pieces": [
        {
            "id": "tumb",
            "shape": {
                "kind": "tumbler",
                "top_width": "1 1/4 in",
                "bottom_width": "7/8 in",
                "height": "1 3/8 in",
            },
            "quantity": 2,
            "seam_allowance": "1/4 in",
        },
        {
            "id": "clam",
            "shape": {"kind": "clamshell", "width": "1 1/2 in"},
            "quantity": 2,
            "seam_allowance": "1/4 in",
            "corners": {"kind": "blunt"},
        },
        {
            "id": "apple",
            "shape": {"kind": "apple_core", "length": "2 1/2 in"},
            "quantity": 2,
            "seam_allowance": "1/4 in",
        },
        {
            "id": "dpie",
            "shape": {
                "kind": "custom",
                "points": [[0, 0], [1.375, 0, 0.41421356237309503], [0, 1.375]],
            },
            "quantity": 2,
            "seam_allowance": "1/4 in",
        },
        {
            "id": "dell",
            "shape": {
                "kind": "custom",
                "points": [
                    [1.375, 0],
                    [2, 0],
                    [2, 2],
                    [0, 2],
                    [0, 1.375, -0.41421356237309503],
                ],
            },
            "quantity": 2,
            "seam_allowance": "1/4 in",
        },
        {
            "id": "para",
            "shape": {
                "kind": "parallelogram",
                "base": "1 1/2 in",
                "side": "1 in",
                "angle_deg": 52.0,
            },
            "quantity": 2,
            "seam_allowance": "1/4 in",
            "mirror": True,
            "grain": [0, 17.5, 180],
        },
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": {"tool": {"kind": "pen"}, "bed": {"width": "300 mm", "height": "260 mm"}},
            "formats": ["plan"],
            "effort": "quick",
        }
    ],
}


def test_mixed_template_sheet(studio: Studio) -> None:
    """Areas in square inches: tumbler 1.375 x 2.125 / 2 = 1.4609, clamshell 1.5^2 / 2 = 1.125.

    Apple core 2 x 1.25^2 = 3.125, quarter circle pi x 1.375^2 / 4 = 1.4849, its partner
    4 - 1.4849 = 2.5151, parallelogram 1.5 x sin 52 = 1.1820; two of each are 21.786. The board has
    120.9: boxes of 2.5 in at most, 4 across and 3 up, hold all 12. One load, no gap, no overlap.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert run.load_count == 1
    assert run.outlines == dict.fromkeys(["tumb", "clam", "apple", "dpie", "dell", "para"], 2)
    cells = foreign.cells(foreign.plan(run.loads[0].file("plan")))
    areas = [1.4609, 1.125, 3.125, 1.4849, 2.5151, 1.1820]
    found = sorted(each.area / 645.16 for each in cells)
    assert found == pytest.approx(sorted(areas * 2), abs=1e-3)
    assert foreign.nearest(cells) > -0.1
    bounds = foreign.drawn(foreign.plan(run.loads[0].file("plan"))).bounds
    assert min(bounds) >= -1e-6
    assert bounds[2] <= 300.0 + 1e-6
    assert bounds[3] <= 260.0 + 1e-6
    # Nothing printed was asked for; where it is, two of each stand on the sheet.
    assert "run_sheet" not in kit.payload
    printed = studio.kit({**REQUEST, "documents": ["run_sheet"]})
    for name in run.outlines:
        assert printed.sheet.counts(name, 2, 2, 0)
    assert printed.sheet.says("pen", "11.811 x 10.2362 in", "Draw it once, then cut by hand")
