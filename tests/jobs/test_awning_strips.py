"""Rectangles from a roll of which 30 in can be drawn off at once."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Awning strips",
    "units": "in",
    "pieces": [
        {
            "id": "R",
            "shape": {"kind": "rectangle", "width": 7, "height": 4},
            "seam_allowance": "1/4",
            "quantity": 40,
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "gap": 0,
            "effort": "quick",
            "ties": {"count": 0},
            "cutter": {
                "tool": {"kind": "laser", "kerf": 0},
                "bed": {"shape": "roll", "width": 20, "length": 30},
            },
            "formats": ["dxf", "hpgl"],
            "material": {"name": "awning cotton", "kind": "fabric"},
        }
    ],
}


def test_awning_strips(studio: Studio) -> None:
    """Patches of 7 1/2 x 4 1/2 in. Four of 4 1/2 in are 18 of the roll's 20 in; 30 in are four of
    7 1/2: 16 at once. 17 would need 17 x 33.75 = 573.75 of 600 in2, but any row across holds at
    most 20 / 4.5 = 4, or 2 + 1 (15 + 4.5), and 30 in no more than 6 + 6 + 4 of those.

    40 are 16 + 16 + 8: two draws of 30 in and one of 15 in, 75 in = 1905 mm. No layout is shorter
    than 40 x 33.75 / 20 = 67.5 in = 1714.5 mm. Beam without width: each is drawn with 24 in.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert [(load.repeats, load.outlines) for load in run.loads] == [(2, {"R": 16}), (1, {"R": 8})]
    assert run.total("R") == (40, 40, 0)
    assert run.payload["roll"]["length_mm"] == pytest.approx(1905.0, abs=0.01)
    assert run.payload["roll"]["min_length_mm"] == pytest.approx(1714.5, abs=0.01)
    assert [load.payload["length_mm"] for load in run.loads] == pytest.approx([762.0, 381.0])
    for load, count, length in zip(run.loads, (16, 8), (762.0, 381.0), strict=True):
        for read, kind in ((foreign.dxf, "dxf"), (foreign.hpgl, "hpgl")):
            lines = read(load.file(kind))
            left, bottom, right, top = foreign.drawn(lines).bounds
            assert right - left == pytest.approx(length, abs=0.03), kind
            assert top - bottom <= 508.0 + 0.03, kind
        cells = foreign.cells(foreign.dxf(load.file("dxf")))
        assert [each.area for each in cells] == pytest.approx([33.75 * 645.16] * count, abs=1.0)
        assert foreign.nearest(cells) >= -0.02
    # 75 in are two draws of 30 in and one of 15 in, and the sheet adds up.
    assert kit.sheet.together("20 in wide", "75 in", "load 1: 2 times 30 in", "load 2: 15 in")
    assert kit.sheet.counts("R", 40, 40, 0)
