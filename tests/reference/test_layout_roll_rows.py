"""Few pieces on a roll: what a person cuts from the same cloth is never shorter.

Lengths are worked by hand beside each case.
"""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from geometry.units import MM_PER_INCH as INCH
from tests.layouts import lay_out

QUARTERS = (0.0, 90.0, 180.0, 270.0)


def length(outline: Outline, count: int, width: float, gap: float, turns: str | tuple[float, ...],
           effort: str) -> float:  # fmt: skip
    """Return the length of roll of a layout that was measured a second time."""
    room = WorkArea.roll(0.0, 0.0, width)
    layout = lay_out([Item("A", outline, count, turns)], room, gap=gap, effort=effort)
    for load in layout.loads:
        assert check_load({"A": outline}, load, room, gap) == []
    return layout.used[0].right


@pytest.mark.parametrize("effort", ["quick", "normal"])
@pytest.mark.parametrize("gap", [0.0, 2.0])
@pytest.mark.parametrize("count", [4, 8])
def test_four_quarter_square_triangles_are_a_square(effort: str, gap: float, count: int) -> None:
    """A square cut twice across gives four quarter-square triangles (HANDBOOK, 1.4).

    Base 8 in: the square has sides of 8 in. With a gap each triangle moves out from the middle
    by gap / sqrt(2), so that legs lie a gap apart: the square is gap sqrt(2) larger. On a roll
    10 in wide two squares follow each other, a gap apart.
    """
    triangle = build("quarter_square_triangle", {"base": 8.0 * INCH})
    square = 8.0 * INCH + gap * math.sqrt(2.0)
    squares = count // 4
    by_hand = squares * square + (squares - 1) * gap
    assert length(triangle, count, 10.0 * INCH, gap, QUARTERS, effort) <= by_hand + 1e-6


def test_no_other_right_triangles_are_made_a_square() -> None:
    # 60 by 80 mm, at quarter turns on a roll 100 mm wide: two make a rectangle of 60 by 80.
    triangle = Outline.of([(0.0, 0.0), (60.0, 0.0), (0.0, 80.0)])
    assert length(triangle, 4, 100.0, 0.0, QUARTERS, "quick") <= 120.0 + 1e-6


def test_a_few_fixed_right_triangles() -> None:
    """12 right triangles of 60 by 120 mm, all one way, on a roll 220 mm wide, gap 1 mm.

    By hand: all in one straight row, each 61 mm on: 11 * 61 + 60 = 731 mm. In pairs the second
    stands 60 mm higher and 31 mm along, beside the slanted side of the first: at a height y that
    side is 60 - y / 2 from the left, 30 mm at 60, and 31 mm along leaves 1 mm level and so
    0.89 mm square to the slant; 31.12 mm leaves 1 mm. Pairs repeat every 61 mm or, where the next
    one's first has to clear the second of this, 31.12 + 61: six pairs of 92.12 are
    5 * 92.12 + 31.12 + 60 = 551.7 mm, and no taller than 60 + 120 = 180 of 220 mm.
    """
    triangle = Outline.of([(0.0, 0.0), (60.0, 0.0), (0.0, 120.0)])
    assert length(triangle, 12, 220.0, 1.0, "fixed", "quick") <= 551.8


def test_a_few_diamonds_end_soon() -> None:
    """5 diamonds of 45 degrees, side 60 mm, on a roll 400 mm wide: one row across.

    Rows stand across: sheared side by side each takes 60 mm along its side plus once the slant,
    60 cos 45 = 42.43 mm: 5 * 60 + 42.43 = 342.4 mm (gap 0) of 400, and the row is
    60 sin 45 = 42.43 mm high.
    """
    diamond = build("diamond_45", {"side": 60.0})
    high = 60.0 * math.sin(math.radians(45.0))
    assert length(diamond, 5, 400.0, 0.0, "free", "quick") == pytest.approx(high, abs=1e-6)
