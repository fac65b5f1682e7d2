"""A Letter sheet of card on a 12 x 12 in mat: where it lies, and nothing cut off it."""

from __future__ import annotations

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Letter card on the chart table",
    "units": "in",
    "pieces": [
        {
            "id": "A",
            "shape": {"kind": "square", "side": "1"},
            "quantity": 80,
            "seam_allowance": "1/4",
        }
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": "drag-blade-sheet",
            "formats": ["svg"],
            "material": {"name": "card", "kind": "card", "width": "8 1/2", "height": "11"},
        }
    ],
}


def test_letter_on_mat(studio: Studio) -> None:
    """The mat's margins are 1/4 in, so the sheet's lower left corner lies 1/4 in in from each side.

    It reaches from 6.35 to 222.25 mm across and to 285.75 mm up, inside the mat's 298.45.
    Squares of 25.4 mm with 1 mm between: 8 x 26.4 - 1 = 210.2 of 215.9 mm, 10 x 26.4 - 1 = 263 of
    279.4: 80 on one sheet with 2.85 mm clear on either side. The blade's axis may run 0.25 mm
    outside a piece, so 2.6 mm from the edge; off the card it runs nowhere.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert run.total("A") == (80, 80, 0)
    assert run.load_count == 1
    load = run.loads[0]
    left, bottom, right, top = foreign.drawn(foreign.svg(load.file("svg"))).bounds
    assert left >= 6.35
    assert bottom >= 6.35
    assert right <= 222.25
    assert top <= 285.75
    assert kit.sheet.counts("A", 80, 80, 0)
    assert kit.sheet.says("1/4 in", "left", "lower", "8 1/2 x 11 in")
    # The sheet is drawn where it lies.
    assert "215.9" in load.picture


def test_card_as_large_as_the_mat(studio: Studio) -> None:
    """A 12 x 12 in card lies on the 12 x 12 in mat, corner on corner: margins count once.

    292.1 mm each way are left: 11 x 26.4 - 1 = 289.4: 11 x 11 = 121 squares on one load.
    """
    body = {
        **REQUEST,
        "pieces": [{"id": "A", "shape": {"kind": "square", "side": "1"}, "quantity": 121}],
        "runs": [
            {
                "cut": "template",
                "cutter": "drag-blade-sheet",
                "formats": ["svg"],
                "material": {"name": "card", "kind": "card", "width": "12", "height": "12"},
            }
        ],
    }
    kit = studio.kit(body)
    assert kit.run().load_count == 1
    assert kit.run().total("A") == (121, 121, 0)
    bounds = foreign.drawn(foreign.svg(kit.run().loads[0].file("svg"))).bounds
    assert min(bounds) >= 6.35 - 0.25 - 1e-3
    assert max(bounds) <= 304.8 - 6.35 + 0.25 + 1e-3
    assert kit.sheet.counts("A", 121, 121, 0)
