"""The cloth that a die's sheet asks for covers the rules, not only the lines that they stand on.

By hand: rectangles of 3 x 2 in with 1/4 in all round are cut 3 1/2 x 2 1/2 in, two by two on one
board. A rule of 2 pt (0.711 mm) and 3/32 in (2.381 mm) of room lie between two lines: 3.092
mm. The lines take 2 x 88.9 + 3.092 = 180.892 mm by 2 x 63.5 + 3.092 = 130.092 mm. Half a rule
stands outside at each edge: 181.603 x 130.803 mm, which is 7.150 x 5.150 in. A stack laid by hand
reaches 1/4 in past the rules on each side (common practice, no source): 7.650 x 5.650 in, which is
7 3/4 x 5 3/4 in by eighths.
"""

from __future__ import annotations

import pytest

from tests.jobs import names
from tests.jobs.studio import Json, Studio

pytestmark = pytest.mark.usefixtures("in_process")

KIT: Json = {
    "title": "Awning stripes",
    "units": "in",
    "pieces": [
        {
            "id": "A",
            "shape": {"kind": "rectangle", "width": "3", "height": "2"},
            names.QUANTITY: 48,
            "seam_allowance": "1/4",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "layers": 4,
            "cutter": {"tool": {"kind": "steel_rule_die"}, "bed": {"width": 8, "height": 6}},
            "formats": ["dxf"],
            "material": {"name": "striped cotton", "kind": "fabric"},
        }
    ],
}


def test_the_cloth_covers_the_rules(studio: Studio) -> None:
    kit = studio.kit(KIT)
    assert sum(kit.run().loads[0].outlines.values()) == 4
    assert "7 3/4 x 5 3/4 in" in kit.sheet.text
