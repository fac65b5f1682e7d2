"""Ties that have no room: the answer says how many there are, not how many were asked for.

A laser cuts a card of 100 by 100 mm with a slot of 0.2 mm, its middle 0.1 mm outside: 100.2 mm a
side. Ties of 10 mm are 10.2 mm along the slot's middle. Spread evenly, three on a side leave
100.2 / 4 = 25.05 mm from middle to middle, and four 100.2 / 5 = 20.04 mm, less than two ties of
20.4 mm. So a side has three, the card 12 of the 48 that were asked for, in 12 strokes. A card of
15 mm has no room for one: 15.2 / 2 = 7.6 mm.
"""

from __future__ import annotations

import json
from typing import Any

from tests.jobs.studio import Kit, Studio


def _kit(studio: Studio, sides: dict[str, int], ties: dict[str, Any]) -> Kit:
    pieces = [
        {"id": name, "shape": {"kind": "square", "side": side}, "quantity": 1}
        for name, side in sides.items()
    ]
    return studio.kit(
        {
            "title": "Cards",
            "units": "mm",
            "pieces": pieces,
            "runs": [
                {
                    "cut": "template",
                    "cutter": "laser-bed",
                    "ties": ties,
                    "formats": ["plan"],
                    "material": {"name": "card", "kind": "card"},
                }
            ],
        }
    )


def test_twelve_of_48_wide_ties_have_room(studio: Studio) -> None:
    """12 strokes are cut; the sheet says 12, and that 48 were asked for."""
    kit = _kit(studio, {"L": 100}, {"count": 48, "width": 10})
    (load,) = kit.run().loads
    strokes = json.loads(load.file("plan"))["strokes"]
    assert len([each for each in strokes if each["operation"] == "cut"]) == 12
    assert "12 places of 10 mm per outline" in kit.warnings
    assert "48 places" not in kit.warnings
    assert "Piece L has room for 12 of the 48 ties" in kit.warnings


def test_small_card_beside_a_large_one_has_no_tie(studio: Studio) -> None:
    """Two ties of 10 mm hold the large card; the small one has none, and that is said."""
    kit = _kit(studio, {"L": 100, "S": 15}, {"count": 2, "width": 10})
    assert "2 places of 10 mm per outline" in kit.warnings
    assert "has room for" not in kit.warnings
    assert "Piece S has no edge long enough for a tie" in kit.warnings
