"""Linen squares held by ties: what is left uncut, in the answer and in the files."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Sea mist linen",
    "units": "mm",
    "pieces": [{"id": "Q", "shape": {"kind": "square", "side": 60}, "quantity": 12}],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "laser", "kerf": 0},
                "bed": {"width": 300, "height": 200},
                "margins": {"left": 5, "right": 5, "top": 5, "bottom": 5},
                "speed": 20,
            },
            "material": {"name": "linen", "kind": "fabric"},
            "gap": 2,
            "formats": ["svg", "dxf"],
            "ties": {"count": 3, "width": "1 mm"},
        }
    ],
}


def test_ties_in_linen(studio: Studio) -> None:
    """290 x 190 mm holds 4 x 3 squares of 60 mm (4 x 60 + 3 x 2 = 246, 3 x 60 + 4 = 184).

    Each outline is 240 mm less 3 ties of 1 mm = 237 mm in 3 strokes; 12 are 2844 mm in 36
    strokes, 142.2 s of cutting at 20 mm/s before ways and stops. One stop to snip them.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    (load,) = run.loads
    assert load.outlines == {"Q": 12}
    assert load.payload["cut_length_mm"] == pytest.approx(2844.0, abs=0.01)
    assert load.payload["estimated_s"] > 142.2
    assert [each["reason"] for each in load.stops].count("snip-ties") == 1
    for read, kind in ((foreign.svg, "svg"), (foreign.dxf, "dxf")):
        lines = read(load.file(kind))
        assert len(lines) == 36, kind
        assert sum(each.length for each in lines) == pytest.approx(2844.0, abs=0.05)
        assert not any(each.closed for each in lines)
    hulls = foreign.hulls(foreign.svg(load.file("svg")))
    assert [each.area for each in hulls.values()] == pytest.approx([3600.0] * 12, abs=0.1)
    assert foreign.nearest(list(hulls.values())) >= 2.0 - 1e-6
    assert kit.sheet.counts("Q", 12, 12, 0)
    assert kit.sheet.says("ties", "linen")
