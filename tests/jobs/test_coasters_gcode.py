"""Round cork coasters as a program for a beam; the cork's data sheet has been read."""

from __future__ import annotations

import math

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Porthole coasters",
    "units": "cm",
    "pieces": [{"id": "P", "shape": {"kind": "circle", "diameter": 9}, "quantity": 24}],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "laser", "kerf": "0.2 mm"},
                "bed": {"width": 60, "height": 40},
                "margins": {"left": "5 mm", "right": "5 mm", "top": "5 mm", "bottom": "5 mm"},
                "formats": {"gcode": {"head": "laser", "power": 500, "feed_mm_min": 1200}},
            },
            "material": {"name": "cork", "kind": "other", "laser_safe": True},
            "gap": "1 mm",
            "formats": ["gcode", "dxf"],
            "ties": {"count": 0},
        }
    ],
}


def test_coasters_gcode(studio: Studio) -> None:
    """The bed leaves 590 x 390 mm: 6 x 90 + 5 = 545 and 4 x 90 + 3 = 363 mm, 24 on a load.

    The beam's middle runs half of 0.2 mm outside: radius 45.1 mm, area pi x 45.1^2 =
    6390.03 mm2, way round 283.37 mm each, 24 of them 6800.9 mm, and a
    beam that pierces beside its line has up to 1.5 mm more of each, 36 mm in all, where the waste
    between the circles has room for it. DXF's arcs say the same.
    Gaps: circles of 90.2 mm are 1 - 0.2 = 0.8 mm apart at least.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert run.load_count == 1
    assert run.total("P") == (24, 24, 0)
    load = run.loads[0]
    assert 6800.9 <= load.payload["cut_length_mm"] <= 6800.95 + 36.0
    for read, kind in ((foreign.gcode, "gcode"), (foreign.dxf, "dxf")):
        rings = foreign.cells(read(load.file(kind)))
        assert len(rings) == 24, kind
        assert [each.area for each in rings] == pytest.approx([math.pi * 45.1**2] * 24, rel=1e-4)
        assert foreign.nearest(rings) >= 0.8 - 0.01
        left, bottom, right, top = foreign.drawn(read(load.file(kind))).bounds
        assert min(left, bottom) >= 5.0 - 1e-3
        assert right <= 595.0 + 1e-3
        assert top <= 395.0 + 1e-3
    assert kit.sheet.counts("P", 24, 24, 0)
    assert kit.sheet.says("laser", "cork")
    # An unknown material under a beam: the caution says so, and manuals and codes come first.
    assert "material" in kit.cautions
    assert kit.sheet.says("manual", "extinguisher")
