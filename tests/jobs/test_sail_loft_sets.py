"""Sets of a square and two strips: nine whole sets on every load."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Sail loft sets",
    "units": "mm",
    "pieces": [
        {"id": "SQ", "shape": {"kind": "square", "side": 100}, "quantity": 27},
        {"id": "RE", "shape": {"kind": "rectangle", "width": 100, "height": 49.5}, "quantity": 54},
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": "laser-bed",
            "gap": 1,
            "sets": True,
            "effort": "quick",
            "formats": ["svg", "plan"],
            "material": {"name": "card", "kind": "card"},
        }
    ],
}


def test_sail_loft_sets(studio: Studio) -> None:
    """27 sets of one square of 100 mm and two strips of 100 x 49.5: two strips and a gap are 100.

    The bed's 590 x 390 mm, less the beam, holds rows of 100: 590.7 / 101 = 5 squares, or 11 strips
    of 50.5 standing; 3 such rows and above them 5 strips lying: 3 x 11 + 5 = 38 strips' worth. A
    set takes 2 + 2: 9.5, so 9 whole sets, 9 squares and 18 strips; 27 sets are 3 equal loads.
    By area at most 589.7 x 389.7 / (100 x 100 + 2 x 100 x 49.5) = 11.5.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert [(load.outlines, load.repeats) for load in run.loads] == [({"SQ": 9, "RE": 18}, 3)]
    assert run.total("SQ") == (27, 27, 0)
    assert run.total("RE") == (54, 54, 0)
    (load,) = run.loads
    assert load.file_names == ["1-template-card-1.svg", "1-template-card-1.plan.json"]
    for lines in (foreign.svg(load.file("svg")), foreign.plan(load.file("plan"))):
        areas = sorted(each.area for each in foreign.cells(lines))
        # The beam runs 0.1 mm outside: 100.2 x 49.7 and 100.2 x 100.2.
        assert areas == pytest.approx([4979.9] * 18 + [10040.0] * 9, abs=0.5)
        left, bottom, right, top = foreign.drawn(lines).bounds
        assert min(left, bottom) >= 5.0
        assert right <= 595.0
        assert top <= 395.0
    assert kit.sheet.together("cut it 3 times", "9 of SQ", "18 of RE", within=30)
    assert kit.sheet.counts("SQ", 27, 27, 0)
    assert kit.sheet.counts("RE", 54, 54, 0)
