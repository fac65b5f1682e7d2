"""Labels of a die's pieces count what lies in the bag, also what the press makes beyond it.

By hand: three layers make 13 small squares into at least 15 and 7 large ones into at least 9. What
is made beyond the pieces is spare; the bag, the sheet's line and the label all count it.
"""

from __future__ import annotations

import re

import pytest

from tests.jobs import names
from tests.jobs.studio import Json, Studio

pytestmark = pytest.mark.usefixtures("in_process")

KIT: Json = {
    "title": "Press day",
    "units": "in",
    "pieces": [
        {"id": "SMALL", "shape": {"kind": "square", "side": "2"}, names.QUANTITY: 13},
        {"id": "LARGE", "shape": {"kind": "square", "side": "3"}, names.QUANTITY: 7},
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": "die-board",
            "layers": 3,
            "effort": "quick",
            "material": {"name": "calico", "kind": "fabric"},
        }
    ],
}


def test_labels_count_what_is_made(studio: Studio) -> None:
    kit = studio.kit(KIT)
    labels, sheet = kit.labels.text, kit.sheet.text
    for name, least in (("SMALL", 15), ("LARGE", 9)):
        needed, made, spare = kit.run().total(name)
        assert made >= least
        assert spare == made - needed
        assert re.search(rf"{needed} \+ {spare} spare", labels), name
        assert f"{made} of {name.lower()}" in sheet
