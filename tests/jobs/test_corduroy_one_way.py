"""Corduroy with a nap: every piece lies the same way up on the roll, with its arrow."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Corduroy for the pilot's bench",
    "units": "cm",
    "pieces": [
        {
            "id": "T",
            "shape": {"kind": "tumbler", "top_width": 10, "bottom_width": 7, "height": 12},
            "quantity": 20,
            "seam_allowance": 0.75,
            "grain": "fixed",
            "grain_arrow": True,
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {
                "tool": {"kind": "laser", "kerf": "0.2 mm"},
                "bed": {"shape": "roll", "width": 110},
                "margins": {"left": 1, "right": 1, "top": 2, "bottom": 2},
            },
            "material": {"name": "corduroy", "kind": "fabric"},
            "formats": ["svg", "dxf"],
            "effort": "quick",
            "ties": {"count": 0},
        }
    ],
}


def test_corduroy_one_way(studio: Studio) -> None:
    """Slant: atan(12 / 1.5) = 82.87 degrees. Patch, 0.75 cm more: 13.5 cm high.

    Its long side: 10 + 0.75 x 2 cot(41.44) = 11.70 cm, its short one 11.70 - 2 x 13.5 / 8 = 8.32.
    Area: 12 x 8.5 + 0.75 x (17 + 2 x 12.093) + 0.5625 x 2 x (1.1328 + 0.8828) = 135.16 cm2; 20 of
    them 2703 cm2 of 106 cm: 25.5 cm of roll at least. Boxes of 11.7 x 13.5 with the height along
    the roll or across: across 106 / 13.55 = 7 rows and 3 along, 3 x 11.75 = 35.2, or 106 / 11.75
    = 9 and 3 x 13.55 = 40.7 with the last row short: 43 cm with margins by ruler at most.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert run.total("T") == (20, 20, 0)
    turns = {each["turn_deg"] % 360 for load in run.loads for each in load.payload["placements"]}
    assert len(turns) == 1
    assert 255.0 <= run.payload["roll"]["length_mm"] <= 430.0
    lines = foreign.dxf(run.loads[0].file("dxf"))
    cells = [each for each in foreign.cells(lines) if each.area > 5000.0]
    # A tenth of a millimetre outside: a tenth of the way round, 470 mm, more.
    assert [each.area for each in cells] == pytest.approx([13516.0 + 47.0] * 20, abs=3.0)
    # Cutting and marking are kept apart: two layers, two standard colours, in svg too.
    assert {line.layer for line in lines} == {"cut", "mark"}
    assert len({line.colour for line in lines}) == 2
    strokes = foreign.svg_layers(run.loads[0].file("svg"))
    assert set(strokes) == {"cut", "mark"}
    assert len(set(strokes.values())) == 2
    assert kit.sheet.counts("T", 20, 20, 0)
    assert kit.sheet.says("corduroy", "grain", "along")
