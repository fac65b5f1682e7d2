"""A die with common rules for felt squares: length of rule, force, presses and the printed page."""

from __future__ import annotations

import pytest

from tests.jobs import foreign, names
from tests.jobs.studio import Studio

HALF = dict.fromkeys(("left", "right", "top", "bottom"), "1/2")
REQUEST = {
    "title": "Coal hole covers",
    "units": "in",
    "pieces": [{"id": "SQ", "shape": {"kind": "square", "side": 2}, "quantity": 60}],
    "runs": [
        {
            "cut": "patch",
            "common_line": True,
            "layers": 5,
            "effort": "quick",
            "cutter": {
                "tool": {"kind": "steel_rule_die", "rule": "0.028 in"},
                "bed": {"width": 8, "height": 6},
                "margins": HALF,
            },
            "formats": ["dxf", "pdf"],
            "material": {"name": "wool felt", "kind": "fabric"},
        }
    ],
}


def test_coal_hole_covers(studio: Studio) -> None:
    """The board leaves 7 x 5 in: 3 x 2 squares of 2 in, edge to edge, share their rules.

    5 layers: 30 a press, 60 in 2 presses, 40 s at 20 s each. Rules: 3 lines of 6 in and 4 of 4 in
    are 34 in = 863.6 mm, not the 48 in of six squares. 500 lbf an inch and 15 % for ejection:
    19,550 lbf = 86.96 kN (parallel rules are 2 in apart, more than 1/4 in, and add nothing). No
    two rules stand apart from each other within an inch. Drawn: 34 in each press, 2 x 863.6 mm.
    The page is 8 x 6 in on one sheet, after the check page.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    (load,) = run.loads
    assert (load.repeats, load.outlines, load.pieces) == (2, {"SQ": 6}, {"SQ": 30})
    assert run.total("SQ") == (60, 60, 0)
    assert kit.payload["totals"]["estimated_s"] == pytest.approx(40.0)
    die = load.payload["die"]
    assert die["rule_length_mm"] == pytest.approx(863.6, abs=1e-6)
    assert die[names.EFFECTIVE_RULE_MM] == pytest.approx(863.6, abs=1e-6)
    assert die["force_lbf"] == pytest.approx(19_550.0)
    assert die["force_kn"] == pytest.approx(86.96, abs=0.01)
    assert die[names.MIN_RULE_DISTANCE_MM] is None
    lines = [each for each in foreign.dxf(load.file("dxf")) if each.layer == "cut"]
    assert sum(each.length for each in lines) == pytest.approx(863.6, abs=0.01)
    left, bottom, right, top = foreign.drawn(lines).bounds
    assert (right - left, top - bottom) == pytest.approx((152.4, 101.6), abs=1e-3)
    # Half the rule, 0.356 mm, stands outside the outlines and within the board.
    assert min(left, bottom) >= 12.7 - 1e-3
    assert len(foreign.pdf_pages_mm(load.file("pdf"))) == 2
    assert kit.sheet.counts("SQ", 60, 60, 0)
    # To the hundredth of an inch: 34, not 34.02.
    assert kit.sheet.together("34 in", "rule", "lbf", within=80)
    assert kit.sheet.says("Common lines", "Press it 2 times", "check page and 1 page")
    # Felt is wool or acrylic as well as cotton: the sheet does not say that only cotton is cut.
    assert kit.sheet.is_silent_about("pure cotton")
