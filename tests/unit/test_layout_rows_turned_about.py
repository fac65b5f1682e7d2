"""Rows whose every other piece is turned about, beside widths worked by hand."""

from __future__ import annotations

import math

import pytest

from geometry.layout.rows.loose_rows import loose_rows
from geometry.layout.rows.row_units import UnitShape
from geometry.shapes.catalogue import build


def _lowest(count: int, width: float) -> float:
    """Return the least height of one row of so many kites, mm, at any quarter turn."""
    shape = UnitShape(build("kite", {"side": 38.0}), 1.0)
    found = [
        each.height
        for turn in (0.0, 90.0, 180.0, 270.0)
        for each in loose_rows(shape, turn, width, count, half_turns=True)
        if each.is_about and len(each.unit.members) == 2
    ]
    return min(found)


@pytest.mark.parametrize(("count", "width"), [(13, 300.0), (12, 275.0), (5, 124.0)])
def test_kites_drawn_back_just_as_far_as_needed(count: int, width: float) -> None:
    """A kite of 38 mm is 38 long, 32.909 wide, its long sides at 30 degrees.

    Kites at steps of s keep 1 mm where every other one is drawn back by d:
    (38 - d) tan 30 + 1 / cos 30 = s, and all are s (count - 1) + 32.909 long.
    """
    step = (width - 19.0 * math.sqrt(3.0)) / (count - 1)
    back = 38.0 - (step - 1.0 / math.cos(math.radians(30.0))) * math.sqrt(3.0)
    assert back > 0.0
    assert _lowest(count, width) == pytest.approx(38.0 + back, abs=0.01)


def test_what_half_a_turn_leaves_as_it_is_has_no_such_rows() -> None:
    shape = UnitShape(build("hexagon", {"side": 25.0}), 1.0)
    rows = loose_rows(shape, 0.0, 300.0, 7, half_turns=True)
    assert not any(each.is_about for each in rows)
