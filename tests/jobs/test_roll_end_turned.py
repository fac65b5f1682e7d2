"""A strip quilt's bricks off a roll: the last ones lie across where that takes less cloth."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

INCH = 25.4


@pytest.mark.parametrize("effort", ["quick", "normal"])
@pytest.mark.parametrize(("grain", "inches"), [("free", 56.5), ("half-turn", 58.5)])
def test_bricks_off_a_roll(studio: Studio, effort: str, grain: str, inches: float) -> None:
    """100 bricks of 2 x 4 in finished, allowance 1/4 in, from a roll 20 in wide, gap 0.

    Patches are 2 1/2 x 4 1/2 in. 8 stand side by side on 20 in, 4 1/2 in long: 12 such rows hold
    96 on 54 in. The last 4 side by side take another 4 1/2 in: 58 1/2 in. Lying across, 4 of
    4 1/2 in take 18 of the 20 in and only 2 1/2 in of length: 56 1/2 in; the areas alone are
    100 x 11.25 / 20 = 56 1/4 in. Where the grain must run along the cloth none may lie across.
    """
    kit = studio.kit(
        {
            "title": "Bricks for the boathouse",
            "units": "in",
            "pieces": [
                {
                    "id": "R",
                    "shape": {"kind": "rectangle", "width": "2", "height": "4"},
                    "quantity": 100,
                    "seam_allowance": "1/4",
                    "grain": grain,
                }
            ],
            "runs": [
                {
                    "cut": "patch",
                    "cutter": {"tool": {"kind": "pen"}, "bed": {"shape": "roll", "width": "20"}},
                    "material": {"kind": "fabric", "name": "linen", "edge_clearance": "0"},
                    "gap": "0",
                    "effort": effort,
                    "formats": ["svg"],
                }
            ],
        }
    )
    (load,) = kit.run().loads
    assert load.outlines == {"R": 100}
    assert kit.run().payload["roll"]["length_mm"] == pytest.approx(inches * INCH, abs=1e-3)
    left, bottom, right, top = foreign.drawn(foreign.svg(load.file("svg"))).bounds
    assert right - left == pytest.approx(inches * INCH, abs=1e-3)
    assert top - bottom == pytest.approx(20 * INCH, abs=1e-3)
