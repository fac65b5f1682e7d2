"""Triangle papers from letter card laid on its side on a home cutter's mat."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Lighthouse papers at home",
    "units": "in",
    "pieces": [
        {
            "id": "T",
            "shape": {"kind": "triangle", "side": "2"},
            "quantity": 90,
            "seam_allowance": "1/4",
        }
    ],
    "runs": [
        {
            "cut": "template",
            "gap": "1 mm",
            "effort": "quick",
            "formats": ["svg"],
            "cutter": {
                "tool": {"kind": "drag_blade", "offset": "0.25 mm", "machine_compensates": True},
                "bed": {"width": "12", "height": "12"},
                "margins": {"left": "1/4", "right": "1/4", "top": "1", "bottom": "1/2"},
                "speed": 40,
            },
            "material": {"name": "card", "kind": "card", "width": "11", "height": "8 1/2"},
        }
    ],
}


def test_home_cutter_landscape(studio: Studio) -> None:
    """The card's corner lies 1/4 in from the left, 1/2 in from below: at (6.35, 12.7) mm.

    1 mm inside it: 277.4 x 213.9 mm from (7.35, 13.7). A triangle of 50.8 mm is 43.994 high. Two
    neighbours of a strip stand 25.4 + 1 / sin 60 = 26.555 mm apart: (213.9 - 50.8) / 26.555 = 6.1,
    7 in a strip across the card; (277.4 + 1) / 44.994 = 6.2, 6 strips: 42 a card. 90 are
    42 + 42 + 6: two loads, the first cut twice. The machine makes up for its blade's offset: each
    stroke is the triangle itself, 152.4 mm: 42 of them 6400.8 mm, at 40 mm/s 160 s, and 20 s for
    the stop. A blade's offset is known in mm; nobody sets 0.0098 in.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert [(load.outlines, load.repeats) for load in run.loads] == [({"T": 42}, 2), ({"T": 6}, 1)]
    assert run.total("T") == (90, 90, 0)
    assert [load.file_names for load in run.loads] == [
        ["1-template-card-1.svg"],
        ["1-template-card-2.svg"],
    ]
    triangles = foreign.polygons(foreign.svg(run.loads[0].file("svg")))
    assert [each.area for each in triangles] == pytest.approx([1117.45] * 42, abs=0.05)
    assert foreign.nearest(triangles) >= 1.0 - 1e-3
    for each in triangles:
        left, bottom, right, top = each.bounds
        assert left >= 7.35 - 1e-3
        assert right <= 284.75 + 1e-3
        assert bottom >= 13.7 - 1e-3
        assert top <= 227.6 + 1e-3
    assert run.loads[0].payload["cut_length_mm"] == pytest.approx(6400.8, abs=0.1)
    assert 180.0 < run.loads[0].payload["estimated_s"] < 190.0
    assert kit.sheet.together("card", "1/4 in from the mat's left edge", "1/2 in", within=40)
    assert kit.sheet.together("Mat", "12 x 12 in", "1/4 in left", "1 in top")
    assert "0.25 mm" in kit.warnings
    assert kit.sheet.together("offset", "0.0098 in")
    # The file says where the card lies, with the same figures.
    described = run.loads[0].file("svg").decode()
    assert "1/4 in from the mat" in described
    assert "1/2 in from its lower edge" in described
