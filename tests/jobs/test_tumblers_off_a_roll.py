"""Tumblers alternately turned on a roll: the roll's length by the trade's own formula."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio


def request(grain: str) -> dict[str, Any]:
    shape = {"kind": "tumbler", "top_width": 60, "bottom_width": 40, "height": 70}
    return {
        "title": "Tumbler papers off a roll",
        "units": "mm",
        "pieces": [{"id": "T", "shape": shape, "quantity": 50, "grain": grain}],
        "runs": [
            {
                "cut": "template",
                "cutter": {"tool": {"kind": "pen"}, "bed": {"shape": "roll", "width": 350}},
                "material": {"name": "kraft", "kind": "paper"},
                "formats": ["plan"],
                "effort": "quick",
            }
        ],
    }


@pytest.mark.parametrize(("grain", "length"), [("free", 510.0), ("half-turn", 630.0)])
def test_tumblers_off_a_roll(studio: Studio, grain: str, length: float) -> None:
    """HANDBOOK 1.2: n in a row alternately turned are n (W + w) / 2 + (W - w) / 2 long.

    Turned freely: 350 / 70 = 5 rows of 10 along the roll, 10 x 50 + 10 = 510 mm. With the grain
    along the roll the height of 70 mm lies along it: 6 across (6 x 50 + 10 = 310, of 7 360 mm),
    50 in 9 rows: 630 mm. Area: 50 x 3500 / 350 = 500 mm at least. A pen has no gap: it draws
    50 x (100 + 2 x root of 70^2 + 10^2) = 12071.07 mm.
    """
    kit = studio.kit(request(grain))
    run = kit.run()
    assert run.total("T") == (50, 50, 0)
    assert run.min_length_mm <= run.payload["roll"]["length_mm"] <= length + 0.01
    assert run.min_length_mm >= 500.0 - 1e-6
    (load,) = run.loads
    assert load.payload["cut_length_mm"] == pytest.approx(12071.07, abs=0.01)
    rings = foreign.polygons(foreign.plan(load.file("plan")))
    assert [ring.area for ring in rings] == pytest.approx([3500.0] * 50, abs=0.01)
    assert foreign.nearest(rings) >= -1e-2
    # Paper has no selvedge.
    kit.sheet.is_silent_about("selvedge")
