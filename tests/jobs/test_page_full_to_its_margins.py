"""Pieces that reach the printer's blank margin lie on one page, not on two."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio


@pytest.mark.parametrize(
    ("paper", "side", "quantity", "units"),
    [("letter", "2", 20, "in"), ("letter", "1", 80, "in"), ("a4", "19.73", 140, "mm")],
)
def test_squares_to_the_margins(
    studio: Studio, paper: str, side: str, quantity: int, units: str
) -> None:
    """Squares edge to edge on one home-printed page, the margin 1/4 in.

    Letter is 8 1/2 in wide, less 1/4 in on either side 8 in: four squares of 2 in, or eight of
    1 in, fill it exactly. 10 1/2 in hold five rows of 2 in or ten of 1 in. A4 is
    210 - 12.7 = 197.3 mm wide: ten of 19.73 mm fill it, fourteen rows take 276.22 of 284.3 mm.
    One page and the check page each.
    """
    run: dict[str, Any] = {
        "cut": "template",
        "cutter": {"tool": {"kind": "pen"}, "paper": paper},
        "formats": ["pdf"],
        "gap": 0,
        "common_line": True,
        "material": {"name": "paper", "kind": "paper"},
    }
    piece = {"id": "S", "shape": {"kind": "square", "side": side}, "quantity": quantity}
    kit = studio.kit({"title": "Papers", "units": units, "pieces": [piece], "runs": [run]})
    (load,) = kit.run().loads
    assert (load.outlines, load.repeats) == ({"S": quantity}, 1)
    assert len(foreign.pdf_pages_mm(load.file("pdf"))) == 2
