"""What a die leaves of pieces of cloth whose size is stated is kept where it holds a piece.

100 patches of 3 1/2 by 2 in (bricks of 3 by 1 1/2 in, 1/4 in all round) are pressed through 4
layers: 25 outlines. A board of 300 mm less 15 mm a side, and 2 mm inside cloth of 11 in that lies
in its corner, has room from 17 to 285 mm: 268 by 268 mm. Rules lie 3/32 in and their own 0.71 mm
apart, 3.09125 mm. At most 12 fit (5 high in two columns, 2 upright beside them), so 25 take 3
presses, evenly of 9: 27 x 4 = 108.

Nine lie in a strip of two patches' lengths across the board: 2 x 88.9 + 3.09125 = 180.89 mm. What
is free begins 3.09125 mm beyond it, at 200.98 mm, and ends at 285 mm: 268 by 84.02 mm, 10.551 by
3.3078 in, down to 1/16 in 10 1/2 by 3 1/4 in. A patch of 3 1/2 by 2 in lies in it on its long side.
The sheet said that no piece fits into what is left.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Studio


def _request(**material: Any) -> dict[str, Any]:
    brick = {"kind": "rectangle", "width": 3, "height": 1.5}
    return {
        "title": "Bricks",
        "units": "in",
        "pieces": [{"id": "R", "shape": brick, "seam_allowance": "1/4", "quantity": 100}],
        "runs": [
            {
                "cut": "patch",
                "cutter": "die-board",
                "formats": ["dxf"],
                "layers": 4,
                "material": {"name": "calico", "kind": "fabric", **material},
            }
        ],
    }


def test_strip_beside_the_rules_is_kept(studio: Studio) -> None:
    """The strip of stated cloth beside the rules holds patches and is named."""
    kit = studio.kit(_request(width=11, height=11))
    (load,) = kit.run().loads
    assert (load.outlines, load.repeats) == ({"R": 9}, 3)
    rest = load.payload["used"]["largest_rest"]
    assert (rest["width_mm"], rest["height_mm"]) == pytest.approx((268.0, 84.01750))
    words = ("Keep what is left of each of the 4 layers", "10 1/2 x 3 1/4 in")
    assert kit.sheet.together(*words)
    assert kit.sheet.is_silent_about("No piece of this kit fits")
    assert "worth keeping" in load.picture


def test_cloth_of_no_stated_size_ends_at_the_rules(studio: Studio) -> None:
    """Nobody knows whether cloth lies there, so nothing is named."""
    kit = studio.kit(_request())
    assert kit.sheet.is_silent_about("Keep what is left")
