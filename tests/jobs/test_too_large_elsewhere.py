"""Outlines that were drawn, and beds that are no rectangle: refused with the largest that fits."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.jobs.studio import Studio


def request(units: str, piece: dict[str, Any], cut: str, bed: dict[str, Any]) -> dict[str, Any]:
    cutter = {"tool": {"kind": "pen"}, "bed": bed}
    material = {"name": "paper", "kind": "paper"}
    run = {"cut": cut, "cutter": cutter, "formats": ["svg"], "material": material}
    return {"title": "Storm lantern", "units": units, "pieces": [piece], "runs": [run]}


def test_a_drawn_outline_too_large(studio: Studio) -> None:
    """A drawn rectangle of 10 x 4 in, grain fixed, with 1/4 in on a board of 8 x 8 in.

    Its patch is 10.5 in wide, 2.5 in too much. At a share s it is 10 s + 0.5, so s = 0.75:
    75 %, 7 1/2 in wide and 3 in high.
    """
    piece = {
        "id": "A",
        "shape": {"kind": "custom", "points": [[0, 0], [10, 0], [10, 4], [0, 4]]},
        "seam_allowance": "1/4",
        "grain": "fixed",
    }
    problem = studio.refused(request("in", piece, "patch", {"width": 8, "height": 8}))
    assert problem["short_by_mm"] == pytest.approx(2.5 * 25.4)
    assert re.search(r"75 %.* 7 1/2 in wide and 3 in high", problem["detail"])
    # In the request's units alone.
    assert " mm" not in problem["detail"]


def test_a_hexagon_in_a_round_hoop(studio: Studio) -> None:
    """A hexagon's corners lie on a circle of its side's length: in a disc of 100 mm, 50 mm.

    Stated in tenths of a millimetre, rounded down.
    """
    piece = {"id": "H", "shape": {"kind": "hexagon", "side": 60}}
    bed = {"shape": "ellipse", "width": 100, "height": 100}
    problem = studio.refused(request("mm", piece, "template", bed))
    assert 49.9 - 1e-6 <= problem["largest"]["side_mm"] <= 50.0
    assert re.search(r"At most (49\.9|50) mm side fits", problem["detail"])


def test_a_drawn_outline_in_a_round_hoop(studio: Studio) -> None:
    """A drawn square of 100 mm in a disc of 100 mm: 70.7 by Pythagoras, 70 % stated."""
    points = [[0, 0], [100, 0], [100, 100], [0, 100]]
    piece = {"id": "Q", "shape": {"kind": "custom", "points": points}}
    bed = {"shape": "ellipse", "width": 100, "height": 100}
    problem = studio.refused(request("mm", piece, "template", bed))
    assert re.search(r"70 %.* 70 mm wide and 70 mm high", problem["detail"])
