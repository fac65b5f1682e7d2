"""A mirrored piece's label is reflected in its own box; every other mark is mirrored."""

from __future__ import annotations

import pytest

from geometry.model.outline import LABEL, Chain, Mark, Outline, Region
from geometry.model.transform import Rigid

SQUARE = Outline.of([(0, 0), (40, 0), (40, 40), (0, 40)])
#: An L of two arms, and an arrow beside it.
LETTER = Mark(LABEL, "mark", Chain.of([(10, 26), (10, 20), (14, 20)]))
ARROW = Mark("grain-arrow", "mark", Chain.of([(30, 5), (30, 35)]))


@pytest.mark.parametrize("turn_deg", [0, 90])
def test_only_the_label_is_not_mirrored(turn_deg: float) -> None:
    region = Region(SQUARE, (), (LETTER, ARROW))
    letter, arrow = Rigid(turn_deg, 100.0, 0.0, mirrored=True).region(region).marks
    # By hand: the letter's box, x from 10 to 14, is mirrored to 86 to 90, and the letter in it is
    # as it was; then it turns with the piece about 100, 0.
    upright = [(86, 26), (86, 20), (90, 20)]
    wanted = upright if turn_deg == 0 else [(100 - y, x - 100) for x, y in upright]
    assert [tuple(v)[:2] for v in letter.path.vertices] == wanted
    ends = [(70, 5), (70, 35)] if turn_deg == 0 else [(95, -30), (65, -30)]
    assert [tuple(v)[:2] for v in arrow.path.vertices] == ends
