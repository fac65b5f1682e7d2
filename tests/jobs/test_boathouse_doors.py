"""A drawn arch, printed on Letter and cut by hand: its area, its page and its time."""

from __future__ import annotations

import math

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Boathouse doors",
    "units": "mm",
    "pieces": [
        {
            "id": "D",
            "shape": {"kind": "custom", "path": "M0 0 H40 V40 A20 20 0 0 1 0 40 Z"},
            "quantity": 9,
            "grain": "fixed",
        }
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "pen", "hand_speed": 8},
                "bed": {"width": "215.9", "height": "279.4"},
                "margins": {"left": 10, "right": 10, "top": 10, "bottom": 10},
                "speed": 100,
                "travel_speed": 250,
                "stop_s": 30,
            },
            "material": {"name": "card", "kind": "card"},
            "formats": ["pdf"],
            "effort": "quick",
        }
    ],
}


def test_boathouse_doors(studio: Studio) -> None:
    """A square of 40 mm and half a disc of 20 mm: 1600 + 628.32 = 2228.32 mm2, 40 x 60 mm.

    Round it 120 + 20 pi = 182.832 mm; nine are 1645.49 mm. 195.9 x 259.4 mm inside the margins
    hold 4 x 4. Time: drawn at 100 mm/s, cut by hand at 8 mm/s, travel at 250 mm/s, one stop of
    30 s; about 4 minutes.
    """
    kit = studio.kit(REQUEST)
    template = kit.piece("D")["template"]
    assert template["area_mm2"] == pytest.approx(1600 + 200 * math.pi, abs=1e-6)
    assert (template["width_mm"], template["height_mm"]) == pytest.approx((40.0, 60.0))
    (load,) = kit.run().loads
    assert (load.repeats, load.outlines) == (1, {"D": 9})
    drawn = 9 * (120 + 20 * math.pi)
    assert load.payload["cut_length_mm"] == pytest.approx(drawn)
    taken = drawn / 100 + drawn / 8 + load.payload["travel_mm"] / 250 + 30
    assert load.payload["estimated_s"] == pytest.approx(taken)
    assert taken == pytest.approx(253.0, abs=2.0)
    # As SVG has it, y down: the half disc is below, and stays there.
    assert min(y for _, y, _ in template["outline"]) == pytest.approx(-40.0)
    assert len(foreign.pdf_pages_mm(load.file("pdf"))) >= 1
    kit.sheet.says("8 mm/s", "100 mm/s", "30 s", "about 4.5 min, cutting by hand included")
    kit.sheet.counts("D", 9, 9, 0)
    # Card has no selvedge.
    kit.sheet.is_silent_about("selvedge")
