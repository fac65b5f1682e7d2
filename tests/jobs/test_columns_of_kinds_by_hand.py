"""Several kinds in columns that small pieces fill up, as a person lays them with a pencil.

In square brackets a column and its width, mm, with what stands in it and the sum of the heights; a
gap follows each piece, so a sum may be longer than the side by one gap.
"""

from __future__ import annotations

import pytest

from geometry.layout import Item, Layout
from geometry.layout.objective import placement_bounds
from geometry.model.cutter import WorkArea
from geometry.shapes.catalogue import build
from tests.layouts import lay_out, require_sound
from tests.plain_items import circle, rectangle, square


def laid(items: list[Item], room: WorkArea, gap: float) -> Layout:
    """Return a layout at quick effort that is sound and holds all."""
    found = lay_out(items, room, gap=gap, effort="quick")
    require_sound(found, items, room, gap)
    return found


def length(items: list[Item], width: float, gap: float) -> float:
    """Return the length of roll that everything takes, mm."""
    (load,) = laid(items, WorkArea.roll(0.0, 0.0, width), gap).loads
    return placement_bounds(load.placements, {each.piece: each.outline for each in items}).right


@pytest.mark.parametrize(
    ("items", "width", "gap", "by_hand"),
    [
        # [64: 4 circles, 256] twice, [64: a circle and six rows of 2 squares, 64 + 186 = 250]
        ([circle("C", 64.0, 9), square("S", 31.0, 12)], 260.0, 0.0, 192.0),
        # [106: 5 lying, 5 x 63 = 315, and a row of 2 squares, 38: 353] twice, less the last gap
        ([square("S", 35.0, 4), rectangle("R", 103.0, 60.0, 10)], 350.0, 3.0, 209.0),
        # [62: 4 squares, 248] twice, [66: 4 standing, 280], [66: 2 standing, 2 squares, 264]
        ([square("S", 62.0, 10), rectangle("R", 66.0, 70.0, 6)], 280.0, 0.0, 256.0),
        # [82: 4 squares, 328], [99: a square, 82, and 5 lying, 220: 302]
        ([square("S", 82.0, 5), rectangle("R", 99.0, 44.0, 5)], 330.0, 0.0, 181.0),
    ],
)
def test_a_roll_is_no_longer_than_by_hand(
    items: list[Item], width: float, gap: float, by_hand: float
) -> None:
    assert length(items, width, gap) <= by_hand + 0.01


def test_a_row_of_squares_and_one_of_both() -> None:
    """4 circles of 53 mm and 9 squares of 39 mm on 300 by 250 mm.

    A row of 7 squares, 273 by 39 mm; a row of 4 circles and 2 squares, 290 by 53: 92 mm of 250.
    """
    items = [circle("C", 53.0, 4), square("S", 39.0, 9)]
    found = laid(items, WorkArea.rectangle(0.0, 0.0, 300.0, 250.0), 0.0)
    assert len(found.loads) == found.loads[0].repeats == 1
    assert found.used[0].share <= 92.0 / 250.0 + 1e-6


def test_three_kinds_on_two_loads() -> None:
    """7 squares of 66 mm, 12 of 56 and 14 rectangles of 80 by 64 on 410 by 190 mm.

    The first load: [64: 2 standing, 160], [66: 2 of 66 and one of 56, 188], and 240 mm with a row
    of 4 of 56 and two rows of 3 rectangles, 56 + 128 = 184: 370 mm. The second: a row of 7 of 56, a
    row of 5 rectangles, and one of 5 of 66 and a rectangle, 410: 56 + 64 + 66 = 186. In all 2 + 5 +
    6 + 1 = 14 rectangles, 7 of 66, 12 of 56.
    """
    items = [square("A", 66.0, 7), square("B", 56.0, 12), rectangle("R", 80.0, 64.0, 14)]
    found = laid(items, WorkArea.rectangle(0.0, 0.0, 410.0, 190.0), 0.0)
    assert sum(load.repeats for load in found.loads) == 2


def test_pieces_that_may_not_turn_stay() -> None:
    """Rectangles of 99 by 44 mm along the grain only: all are at 0 or 180 degrees."""
    items = [
        Item("R", build("rectangle", {"width": 99.0, "height": 44.0}), 5, turns="half-turn"),
        Item("S", build("square", {"side": 82.0}), 5, turns="half-turn"),
    ]
    found = laid(items, WorkArea.roll(0.0, 0.0, 330.0), 0.0)
    turns = {each.move.turn_deg for load in found.loads for each in load.placements}
    assert turns <= {0.0, 180.0}
