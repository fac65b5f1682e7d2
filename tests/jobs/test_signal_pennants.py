"""Pennants with a wider allowance at the hoist: what a sharp tip's mitre would reach."""

from __future__ import annotations

import math
import re

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Kit, Studio


@pytest.fixture
def kit(studio: Studio) -> Kit:
    return studio.kit(
        {
            "title": "Signal pennants",
            "units": "in",
            "copies": 3,
            "spares": {"pieces": 2},
            "pieces": [
                {
                    "id": "P",
                    "shape": {"kind": "custom", "points": [[0, 0], [6, 1.25], [0, 2.5]]},
                    "quantity": 7,
                    "seam_allowance": {"default": "1/4", "edges": {"2": "1/2"}},
                    "grain": "half-turn",
                }
            ],
            "runs": [
                {
                    "cut": "patch",
                    "cutter": {
                        "tool": {"kind": "pen"},
                        "bed": {"width": "12", "height": "24"},
                        "margins": {"left": "1/4", "right": "1/4", "top": "1/4", "bottom": "1/4"},
                    },
                    "gap": "1/16",
                    "formats": ["dxf"],
                    "material": {
                        "name": "red ripstop",
                        "kind": "stiffened_fabric",
                        "width": "11",
                        "height": "17",
                    },
                }
            ],
        }
    )


def test_the_tip_is_cut_blunt(kit: Kit) -> None:
    """Half the tip's angle is atan(1.25 / 6) = 11.768 degrees.

    With 1/4 in on both edges there a mitre would reach 0.25 / sin 11.768 = 1.2258 in beyond the
    tip, 4.9 times the allowance where 4 times is the limit; the 1/2 in of the hoist is not at that
    corner. So the tip is cut off square 1/4 in beyond it: from the hoist's line 0.5 + 6 + 0.25 =
    6.75 in. The slanted edges lie 0.25 / cos 11.768 = 0.25537 in farther out and rise by 1.25 / 6
    of the way, so the hoist is 2.5 + 2 (0.25537 + 0.5 x 1.25 / 6) = 3.2191 in.
    """
    reach = re.search(r"a mitre would reach ([\d.]+) in", kit.warnings)
    assert reach is not None
    assert float(reach[1]) == pytest.approx(0.25 / math.sin(math.atan(1.25 / 6)), abs=0.0006)
    (load,) = kit.run().loads
    for line in foreign.dxf(load.file("dxf")):
        across, along = (
            (max(p[axis] for p in line.points) - min(p[axis] for p in line.points)) / 25.4
            for axis in (0, 1)
        )
        assert (across, along) == pytest.approx((6.75, 3.2191), abs=0.0002)


def test_three_bags_of_nine(kit: Kit) -> None:
    """Seven and two spares in each of three copies: 27 pennants, 6 of them spare.

    On 11 x 17 in, 1 mm clear of the edge, they lie with their length across, turned in turn: the
    next one is (3.2191 + 0.4066) / 2 + 0.0638 = 1.877 in farther up, so eight take
    3.2191 + 7 x 1.877 = 16.36 of 16.92 in. Where tips and hoists are moved past each other a ninth
    may find room: at most four loads, at least three of nine.
    """
    run = kit.run()
    assert run.outlines == {"P": 27}
    assert run.total("P") == (21, 27, 6)
    assert 3 <= run.load_count <= 4
    assert kit.labels.says("7 + 2 spare patches P", "Copy 3 of 3")
    assert kit.labels.together("allowance", "1/4 in", "edges 0, 1", "1/2 in", "edge 2")
