"""One steel rule die for two kinds of patches: presses, spares, force and the layers to lay."""

from __future__ import annotations

import pytest
import shapely

from tests.jobs import foreign, names
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Chandler's die",
    "units": "in",
    "pieces": [
        {
            "id": "HEX",
            "shape": {"kind": "hexagon", "side": "1 1/2"},
            "quantity": 120,
            "seam_allowance": "1/4",
        },
        {
            "id": "TRI",
            "shape": {"kind": "triangle", "side": "1 1/2"},
            "quantity": 240,
            "seam_allowance": "1/4",
        },
    ],
    "runs": [
        {
            "cut": "patch",
            "layers": 8,
            "cutter": {
                "tool": {"kind": "steel_rule_die", "rule": "0.028 in"},
                "bed": {"width": "12", "height": "10"},
                "margins": {"left": "1/2", "right": "1/2", "top": "1/2", "bottom": "1/2"},
            },
            "formats": ["dxf"],
            "material": {"name": "cotton", "kind": "fabric"},
        }
    ],
}


def test_chandlers_die(studio: Studio) -> None:
    """120 hexagons and 240 triangles through 8 layers are 15 and 30 outlines pressed once.

    A hexagon's patch has sides of 1.5 + 1.1547 x 1/4 = 1.7887 in: 8.312 in2; a triangle's 1.5 +
    3.4641 x 1/4 = 2.3660 in: 2.424 in2. All in one press of a die: 15 x 8.312 + 30 x 2.424 = 197
    in2 of 11 x 9 = 99; in two, 8 and 15: 102.9 in2, too much still; in three, 5 and 10: 65.8 in2.
    So one die, 3 presses, nothing to spare. Rule: 5 x 6 x 1.7887 + 10 x 3 x 2.3660 = 124.64 in =
    3165.9 mm; 500 lbf an inch and 15 % for ejection (die makers' published rules of thumb):
    71,670 lbf at least, more where rules stand close. 3/32 in is clear between
    rules, so cut lines are 3/32 + 0.028 = 0.122 in = 3.09 mm apart.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert run.payload["presses"] == 3
    assert run.payload["spare"] == 0
    (die,) = run.payload["dies"]
    assert die["pieces_per_press"] == {"HEX": 40, "TRI": 80}
    (load,) = run.loads
    assert (load.repeats, load.outlines) == (3, {"HEX": 5, "TRI": 10})
    payload = load.payload["die"]
    assert payload["rule_length_mm"] == pytest.approx(3165.9, abs=0.5)
    assert payload["force_lbf"] >= 71_670 - 20
    assert payload[names.MIN_RULE_DISTANCE_MM] >= 2.38
    lines = [each for each in foreign.dxf(load.file("dxf")) if each.layer == "cut"]
    areas = sorted(each.area for each in foreign.polygons(lines))
    assert areas == pytest.approx([1564.1] * 10 + [5362.4] * 5, abs=1.0)
    # Each cut line has its own rule, 0.028 in thick and in the middle of it.
    bodies = [
        line.buffer(0.028 / 2 * 25.4)
        for line in (shapely.LinearRing(each.points) for each in lines if each.closed)
    ]
    assert foreign.nearest(bodies) >= 3 / 32 * 25.4 - 0.02
    left, bottom, right, top = foreign.drawn(lines).bounds
    assert min(left, bottom) >= 12.7 - 1e-3
    assert right <= 292.1 + 1e-3
    assert top <= 241.3 + 1e-3
    assert kit.payload["totals"]["estimated_s"] == pytest.approx(60.0)
    assert kit.sheet.says("Load cotton, 8 layers, right side up", "Press it 3 times")
    assert kit.sheet.counts("HEX", 120, 120, 0)
    assert kit.sheet.counts("TRI", 240, 240, 0)
    assert kit.sheet.together("Board", "12 x 10 in", "1/2 in", "every side")
    assert kit.sheet.together("Gap", "0.122 in", "between pieces")
    assert kit.sheet.together("3/32 in", "clear between the rules")
    # A rule is bought by its thickness in mm as well.
    assert kit.sheet.says("0.028 in")
