"""A class of 24: papers on A4 card and patches from fat quarters of three fabrics in stacks."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

CUTTER = {
    "tool": {"kind": "laser", "kerf": "0.2 mm"},
    "bed": {"width": "24", "height": "20"},
    "margins": {"left": "1/4", "right": "1/4", "top": "1/4", "bottom": "1/4"},
    "speed": 20,
    "travel_speed": 300,
}
HEXAGON = {"shape": {"kind": "hexagon", "side": "1"}, "seam_allowance": "3/8"}


def patches(piece: str, fabric: str, layers: int) -> dict[str, Any]:
    return {
        "cut": "patch",
        "pieces": [{"id": piece}],
        "layers": layers,
        "cutter": CUTTER,
        "gap": "1 mm",
        "effort": "quick",
        "formats": ["svg"],
        "material": {"name": fabric, "kind": "fabric", "width": "22", "height": "18"},
    }


REQUEST = {
    "title": "Rope walk class, 24 pupils",
    "units": "in",
    "pieces": [
        {"id": "YELLOW", "quantity": 24, **HEXAGON},
        {"id": "BLUE", "quantity": 144, **HEXAGON},
        {"id": "GREEN", "quantity": 288, **HEXAGON},
        {"id": "PAPER", "quantity": 456, "shape": HEXAGON["shape"]},
    ],
    "runs": [
        {
            "cut": "template",
            "pieces": [{"id": "PAPER"}],
            "cutter": CUTTER,
            "gap": "1 mm",
            "effort": "quick",
            "formats": ["svg", "dxf"],
            "material": {"name": "A4 card", "kind": "card", "width": "210 mm", "height": "297 mm"},
        },
        patches("YELLOW", "yellow cotton", 1),
        patches("BLUE", "blue cotton", 4),
        patches("GREEN", "green cotton", 6),
    ],
}


def test_rope_walk_class(studio: Studio) -> None:
    """Each of 24 pupils gets a flower (1 yellow, 6 blue) and 12 green about it, 19 papers.

    24 yellow, 144 blue, 288 green, 456 papers. A paper is 43.994 mm across flats, 50.8 across
    corners; A4 less 1 mm all round is 208 x 295 mm. Columns along the long side:
    (295 - 43.994) / 44.994 = 5.6, 6 in each, the shifted ones too (43.994 + 5 x 44.994 + 22.497 =
    291.5); (208 - 50.8) / 38.966 = 4.03, 5 columns: 30 a sheet, 16 loads. 30 take 290.5 mm or a
    little more of a sheet's 295, 28 (columns of 6, 5, 6, 5, 6) 43.994 + 5 x 44.994 = 268.96: 4 x 30
    and 12 x 28 take 14.88 sheets, 15 x 30 and 6 (46.7 mm) 15.01. A patch is 63.044 by 72.797 mm; a
    fat quarter less 1 mm is 556.8 x 455.2: columns of 7 and 6 every 55.464 mm, 9 of them, 59 at
    least. Blue through 4 layers is 36 outlines, green through 6 is 48, yellow 24: one load each. 19
    loads in all.
    """
    kit = studio.kit(REQUEST)
    papers, yellow, blue, green = kit.runs
    assert [(load.outlines, load.repeats) for load in papers.loads] == [
        ({"PAPER": 30}, 4),
        ({"PAPER": 28}, 12),
    ]
    assert papers.total("PAPER") == (456, 456, 0)
    for run, piece, outlines, pieces in (
        (yellow, "YELLOW", 24, 24),
        (blue, "BLUE", 36, 144),
        (green, "GREEN", 48, 288),
    ):
        (load,) = run.loads
        assert (load.repeats, load.outlines[piece], load.pieces[piece]) == (1, outlines, pieces)
        assert run.total(piece) == (pieces, pieces, 0)
        hulls = list(foreign.hulls(foreign.svg(load.file("svg"))).values())
        assert len(hulls) == outlines
        for each in hulls:
            # 1/4 in margin and 1 mm of the quarter, less the beam's 0.1 mm and its way in.
            left, bottom, right, top = each.bounds
            assert left > 6.35
            assert bottom > 6.35
            assert right < 565.15
            assert top < 463.55
        assert kit.sheet.counts(piece, pieces, pieces, 0)
    assert kit.payload["totals"]["loads"] == 19
    assert [load.file_names for run in kit.runs for load in run.loads] == [
        ["1-template-a4-card-1.svg", "1-template-a4-card-1.dxf"],
        ["1-template-a4-card-2.svg", "1-template-a4-card-2.dxf"],
        ["2-patch-yellow-cotton-1.svg"],
        ["3-patch-blue-cotton-1.svg"],
        ["4-patch-green-cotton-1.svg"],
    ]
    cells = foreign.cells(foreign.dxf(papers.loads[0].file("dxf")))
    # 0.1 mm more each way than a hexagon of 1 in: 1676.17 mm2 and a tenth of 152.4 mm.
    assert [each.area for each in cells] == pytest.approx([1691.4] * 30, abs=0.5)
    # The bench lays the right number of plies, the right side up, with each load.
    assert kit.sheet.says("Load yellow cotton, right side up", "Load A4 card, its lower left")
    assert kit.sheet.says("Load blue cotton, 4 layers, right side up")
    assert kit.sheet.says("Load green cotton, 6 layers, right side up")
    assert kit.sheet.together("cut it 4 times", "30 of PAPER")
    assert kit.labels.together("YELLOW", "24 patches", "finished side 1 in")
    assert kit.labels.together("PAPER", "456 templates", "side 1 in", "run 1")
