"""The second measurement on a leftover: every piece on it, and as far from its edge as stated."""

from __future__ import annotations

import pytest

from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from geometry.proof.sheets import check_on_sheet

#: An L of 100 by 100 mm with arms 40 mm wide; a circle of radius 50 mm.
L_SHAPE = Outline.of([(0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100)])
CIRCLE = Outline.of([(100, 50, 1), (0, 50, 1)])
SQUARE = Outline.of([(0, 0), (20, 0), (20, 20), (0, 20)])


def _faults(sheet: Outline, x: float, y: float, clearance: float) -> list[str]:
    load = Load((Placement("S", Rigid(0.0, x, y)),))
    return check_on_sheet({"S": SQUARE}, load, sheet, clearance)


@pytest.mark.parametrize(
    ("sheet", "x", "y", "clearance", "word"),
    [
        # 10 mm from the left and from the inner edge; 20 mm would be too much to ask.
        (L_SHAPE, 10, 60, 10, ""),
        (L_SHAPE, 10, 60, 10.01, "clearance"),
        # Edges on edges, with a clearance of 0.
        (L_SHAPE, 0, 0, 0, ""),
        (L_SHAPE, 20, 80, 0, ""),
        (L_SHAPE, 80, 20, 0, ""),
        # In the notch: within the box, off the cloth; half over the edge; wholly away.
        (L_SHAPE, 60, 60, 0, "off"),
        (L_SHAPE, 45, 45, 0, "off"),
        (L_SHAPE, 30, 60, 0, "from the sheet's edge|off"),
        (L_SHAPE, 300, 300, 5, "off"),
        # The far corner of a square at (40, 40) is hypot(10, 10) = 14.14 from the middle of the
        # circle: 35.86 mm from its edge.
        (CIRCLE, 40, 40, 35.8, ""),
        (CIRCLE, 40, 40, 35.9, "clearance"),
        (CIRCLE, 0, 0, 0, "from the sheet's edge|off"),
    ],
)
def test_a_square_on_a_leftover(
    sheet: Outline, x: float, y: float, clearance: float, word: str
) -> None:
    faults = _faults(sheet, x, y, clearance)
    if not word:
        assert faults == []
    else:
        assert any(each in faults[0] for each in word.split("|"))


def test_an_edge_that_crosses_is_found_at_a_clearance_of_0() -> None:
    """A square that reaches 10 mm over the inner edge touches it: that is no clearance of 0."""
    assert _faults(L_SHAPE, 30, 60, 0.0)
    assert _faults(L_SHAPE, -10, 10, 0.0)
