"""A steel rule die for one hexagon: rule, force, and the press's cautions."""

from __future__ import annotations

import pytest

from tests.jobs import foreign, names
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Chandler's die",
    "units": "in",
    "pieces": [{"id": "H", "shape": {"kind": "hexagon", "side": "1"}, "quantity": 8}],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "steel_rule_die", "rule": "0.028 in"},
                "bed": {"width": "3 in", "height": "3 in"},
                "margins": {"left": "1/4", "right": "1/4", "top": "1/4", "bottom": "1/4"},
            },
            "material": {"name": "quilting cotton", "kind": "fabric"},
            "layers": 4,
            "formats": ["dxf", "svg"],
        }
    ],
}


def test_die_of_one_hexagon(studio: Studio) -> None:
    """2 1/2 x 2 1/2 in of board hold one hexagon of 1 in (2.0 x 1.732 in), never two.

    Two would need 2 x 1.732 = 3.46 in. 8 pieces in 4 layers: 2 presses of the one die. Die
    makers' published notes: 6 in of rule x 500 lb/in x 1.15 = 3450 lbf, 15.35 kN. 2 pt rule is
    0.028 in = 0.7112 mm. Rules stand 3/32 in = 2.38 mm apart at least. A press closes on all
    rules at once, so its time is the operator's alone: 2 stops of the usual 20 s.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    (load,) = run.loads
    assert (load.repeats, load.outlines, load.pieces) == (2, {"H": 1}, {"H": 4})
    assert run.total("H") == (8, 8, 0)
    assert kit.payload["totals"]["estimated_s"] == pytest.approx(40.0)
    die = load.payload["die"]
    assert die["rule_mm"] == pytest.approx(0.7112, abs=1e-6)
    assert die["rule_length_mm"] == pytest.approx(152.4, abs=0.01)
    assert die["force_lbf"] == pytest.approx(3450.0, rel=0.01)
    assert die["force_kn"] == pytest.approx(15.35, rel=0.01)
    assert die[names.REQUIRED_RULE_DISTANCE_MM] == pytest.approx(2.38, abs=0.01)
    for read, kind in ((foreign.dxf, "dxf"), (foreign.svg, "svg")):
        rings = foreign.polygons(read(load.file(kind)))
        assert max(each.area for each in rings) == pytest.approx(1676.17, abs=0.5), kind
    assert kit.sheet.counts("H", 8, 8, 0)
    assert kit.sheet.says("die", "press", "guard", "2 times")
    assert kit.sheet.says("4 layers")
