"""Two Dresden plates: papers used four times, patches of two layers."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

LASER = {
    "tool": {"kind": "laser", "kerf": 0},
    "bed": {"width": 600, "height": 400},
    "speed": 20,
    "travel_speed": 200,
    "stop_s": 10,
}
BLADE = {"kind": "dresden_blade", "blades": 20, "outer_radius": 150, "inner_radius": 50}
REQUEST = {
    "title": "Compass plates",
    "units": "mm",
    "pieces": [{"id": "B", "shape": BLADE, "quantity": 40, "seam_allowance": 6}],
    "runs": [
        {
            "cut": "template",
            "cutter": LASER,
            "reuse": 4,
            "material": {"name": "card", "kind": "card"},
            "formats": ["svg"],
            "effort": "quick",
        },
        {
            "cut": "patch",
            "cutter": LASER,
            "layers": 2,
            "ties": {"count": 0},
            "material": {"name": "sail stripe", "kind": "fabric"},
            "formats": ["dxf"],
            "effort": "quick",
        },
    ],
}


def test_dresden_plates(studio: Studio) -> None:
    """HANDBOOK 1.2: n = 20, R = 150, r = 50 mm: ends 2 R tan 9 = 47.515 and 15.838 mm.

    Area (R2 - r2) tan 9 = 3167.69 mm2; legs 100 / cos 9 = 101.2465, round it 265.847 mm; corners
    90 less and more 9 degrees. Cut with 6 mm: area + 6 x 265.847 + 36 x sum of cot(half angle) =
    3167.69 + 1595.08 + 36 x 4.04986 = 4908.57 mm2. Each paper four times: 10 of 40. Two layers:
    20 outlines make 40 patches. A laser comes in from the waste, so its way is a little longer
    than 10 x 265.847 mm. Time: that way at 20 mm/s, travel at 200 mm/s, one stop of 10 s.
    """
    kit = studio.kit(REQUEST)
    papers, patches = kit.runs
    template, patch = kit.piece("B")["template"], kit.piece("B")["patch"]
    assert (template["width_mm"], template["height_mm"]) == pytest.approx((47.515, 100.0), abs=1e-3)
    assert template["area_mm2"] == pytest.approx(3167.69, abs=0.01)
    assert template["perimeter_mm"] == pytest.approx(265.847, abs=1e-3)
    assert sorted(template["corner_angles_deg"]) == pytest.approx([81, 81, 99, 99])
    assert patch["area_mm2"] == pytest.approx(4908.57, abs=0.02)
    assert papers.total("B") == (10, 10, 0)
    assert patches.total("B") == (40, 40, 0)
    assert patches.outlines == {"B": 20}
    assert (papers.load_count, patches.load_count) == (1, 1)
    (load,) = papers.loads
    length = load.payload["cut_length_mm"]
    assert 2658.47 <= length <= 2658.47 + 10 * 2
    taken = length / 20 + load.payload["travel_mm"] / 200 + 10
    assert load.payload["estimated_s"] == pytest.approx(taken)
    rings = foreign.cells(foreign.dxf(patches.loads[0].file("dxf")))
    assert [ring.area for ring in rings] == pytest.approx([4908.57] * 20, abs=0.3)
    assert foreign.nearest(rings) >= patches.payload["gap_mm"] - 0.01
    kit.sheet.says("2 at once", 1, 2)
    kit.sheet.counts("B", 40, 40, 0)
