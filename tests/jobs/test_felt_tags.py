"""Felt tags with common lines: every line between two tags is cut once, with ties left."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Felt tags",
    "units": "mm",
    "pieces": [
        {"id": "TAG", "shape": {"kind": "rectangle", "width": 60, "height": 40}, "quantity": 36}
    ],
    "runs": [
        {
            "cut": "template",
            "common_line": True,
            "ties": {"count": 0},
            "effort": "quick",
            "cutter": {
                "tool": {"kind": "laser", "kerf": "0.2 mm"},
                "bed": {"width": 400, "height": 300},
                "margins": {"left": 10, "right": 10, "top": 10, "bottom": 10},
                "speed": 15,
                "formats": {"gcode": {"head": "laser", "feed_mm_min": 900, "power": 600}},
            },
            "formats": ["svg", "gcode"],
            "material": {"name": "wool felt", "kind": "fabric"},
        }
    ],
}


def test_felt_tags(studio: Studio) -> None:
    """36 tags of 60 x 40 mm on 380 x 280 mm, the beam's 0.2 mm between: pitch 60.2 and 40.2.

    6 across (361.2) and 6 up (241.2), or turned 9 across (361.8) and 4 up (240.8): either holds
    36. The lines of 6 x 6 are 7 x 361.2 + 7 x 241.2 = 4216.8 mm; of 9 x 4 they are 5 x 361.8 +
    10 x 240.8 = 4217 mm. Cut one by one they would be 36 x 200.8 = 7229 mm. No ties asked: none to
    snip, one stop. 900 mm/min is the 15 mm/s of the cutter: nothing to warn of.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    (load,) = run.loads
    assert (load.repeats, load.outlines) == (1, {"TAG": 36})
    assert load.payload["cut_length_mm"] == pytest.approx(4217.0, abs=2.0)
    for lines in (foreign.svg(load.file("svg")), foreign.gcode(load.file("gcode"))):
        drawn = foreign.drawn(lines)
        assert drawn.length == pytest.approx(4217.0, abs=2.0)
        left, bottom, right, top = drawn.bounds
        assert min(left, bottom) >= 10.0
        assert right <= 390.0
        assert top <= 290.0
    assert [stop["reason"] for stop in load.stops] == ["load-material"]
    assert foreign.gcode_halts(load.file("gcode")) == 1
    assert "mm/min" not in kit.warnings
    assert load.file_names == ["1-template-wool-felt-1.svg", "1-template-wool-felt-1.ngc"]
    assert kit.sheet.says("36 of TAG", "Load wool felt, right side up", "4.22 m")
