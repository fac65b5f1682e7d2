"""Squares from a bolt 42 in wide: whole rows, and how much is drawn off."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Signal flags from the bolt",
    "units": "in",
    "pieces": [
        {
            "id": "F",
            "shape": {"kind": "square", "side": "4 1/2"},
            "quantity": 40,
            "seam_allowance": "1/4",
            "grain": "half-turn",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {"tool": {"kind": "pen"}, "bed": {"shape": "roll", "width": "42 in"}},
            "material": {"name": "signal red", "kind": "fabric"},
            "gap": "0",
            "formats": ["svg", "dxf"],
        }
    ],
}


def test_roll_of_squares(studio: Studio) -> None:
    """A square of 4 1/2 in with 1/4 in all round is cut 5 in; 42 / 5 = 8 across.

    40 / 8 = 5 rows of 5 in: 25 in of roll, 635 mm. No layout of upright squares is shorter: a
    line across the roll meets at most 8 of them, and 8 x 5 x 25 = 40 x 25. Area: 40 x 25 = 1000
    square inches, 23.81 in of 42.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert run.total("F") == (40, 40, 0)
    assert run.load_count == 1
    assert run.payload["roll"]["length_mm"] == pytest.approx(635.0, abs=0.01)
    assert 1000 / 42 * 25.4 - 1e-6 <= run.min_length_mm <= 635.001
    # Svg draws a square each, dxf may too; the roll lies along x.
    lines = foreign.svg(run.loads[0].file("svg"))
    left, bottom, right, top = foreign.drawn(lines).bounds
    assert right - left == pytest.approx(635.0, abs=0.01)
    assert top - bottom == pytest.approx(1016.0, abs=0.01) or top - bottom <= 1066.81
    squares = foreign.polygons(lines)
    assert [each.area for each in squares] == pytest.approx([127.0**2] * 40, abs=0.1)
    assert foreign.nearest(squares) > -0.01
    drawn = foreign.dxf(run.loads[0].file("dxf"))
    assert sum(each.length for each in drawn) == pytest.approx(40 * 4 * 127.0, abs=0.5)
    assert kit.sheet.counts("F", 40, 40, 0)
    assert kit.sheet.says("42 in", "25 in", "signal red", "grain")
