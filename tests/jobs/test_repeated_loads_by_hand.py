"""Orders of dozens of each kind, mostly on loads that are alike, as a person lays them in columns.

In square brackets a column, or a row where they lie, and its width; with what lies in it and how
long that is. Sheets and pieces are in inches.
"""

from __future__ import annotations

import pytest

from geometry.layout import Item
from geometry.model.cutter import WorkArea
from tests.layouts import lay_out, require_sound
from tests.plain_items import rectangle, square

_INCH = 25.4


def inch_square(name: str, side: float, count: int) -> Item:
    return square(name, side * _INCH, count)


def inch_rectangle(name: str, width: float, height: float, count: int) -> Item:
    return rectangle(name, width * _INCH, height * _INCH, count)


@pytest.mark.parametrize(
    ("items", "sheet", "loads", "by_hand"),
    [
        # 16 full loads of [5: a square of 5 and one standing, 12] three times and [3: 4 squares of
        # 3, 12]: 5 + 5 + 5 + 3 = 18, nothing is wasted. They hold 48, 48 and 64; 2, 1 and 3 are
        # left: rows [5: 2 squares of 5 and one lying, 17] and [3: 3 squares of 3, 9], 8 of 12.
        # All pieces are 50 x 25 + 49 x 35 + 67 x 9 = 3568 square inches, 16.5 sheets of 216.
        (
            [
                inch_square("A", 5.0, 50),
                inch_rectangle("B", 7.0, 5.0, 49),
                inch_square("C", 3.0, 67),
            ],
            (18.0, 12.0), 17, 16.0 + 8.0 / 12.0,
        ),
        # 14 full loads of [5: a square and one standing, 12] four times, 20. They hold 56 of each;
        # 4 squares and 3 rectangles are left: [5: a square and one standing] three times and [5: a
        # square]. All are 60 x 25 + 59 x 35 = 3565 square inches, 14.9 sheets of 240.
        (
            [inch_square("A", 5.0, 60), inch_rectangle("B", 7.0, 5.0, 59)],
            (20.0, 12.0), 15, 15.0,
        ),
    ],
)  # fmt: skip
@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_loads_take_no_more_than_by_hand(
    items: list[Item], sheet: tuple[float, float], loads: int, by_hand: float, effort: str
) -> None:
    room = WorkArea.rectangle(0.0, 0.0, *(side * _INCH for side in sheet))
    found = lay_out(items, room, gap=0.0, effort=effort, nester=None)
    require_sound(found, items, room, 0.0)
    assert sum(load.repeats for load in found.loads) == loads
    shares = zip(found.used, found.loads, strict=True)
    assert sum(used.share * load.repeats for used, load in shares) <= by_hand + 1e-5
