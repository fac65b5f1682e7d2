"""Two or three kinds on one to three sheets, as a person lays them in columns with a pencil.

In square brackets a column, or a row where they lie, and its width, mm; with what lies in it and
how long that is. A gap follows each piece, so a sum may be longer than the side by one gap. The
strip of each sheet that is used is the sum of the widths, less the last gap. Triangles in a row are
turned alternately: each one more takes half a side, and 2 / sqrt(3) of the gap where there is one.
"""

from __future__ import annotations

import pytest

from geometry.layout import Item
from geometry.model.cutter import WorkArea
from tests.layouts import lay_out, require_sound
from tests.plain_items import circle, rectangle, square, triangle


@pytest.mark.parametrize(
    ("items", "sheet", "gap", "loads", "by_hand"),
    [
        # From the left [64: 2 standing, 160], [66: 2 of 66 and one of 56, 188], [240: 4 of 56 and
        # two rows of 3 rectangles, 56 + 128 = 184]: 370 of 410. Rows [56: 7 of 56, 392], [64: 5
        # rectangles, 400], [66: 5 of 66 and a rectangle, 410]: 186 of 190.
        (
            [square("A", 66.0, 7), square("B", 56.0, 12), rectangle("C", 80.0, 64.0, 14)],
            (410.0, 190.0), 0.0, 2, 370.0 / 410.0 + 186.0 / 190.0,
        ),
        # From the left [142: a rectangle, 54, and three rows of 2 squares, 213]: 142 of 280.
        # [71: a square and 4 triangles, 71 + 2.5 x 81 = 273.5], [162: two rows of 3 standing, 198,
        # and 3 triangles in a row, 2 x 81 = 162 long and 70.1 high]: 233 of 280.
        (
            [rectangle("A", 99.0, 54.0, 7), triangle("B", 81.0, 7), square("C", 71.0, 7)],
            (280.0, 280.0), 0.0, 2, (142.0 + 233.0) / 280.0,
        ),
        # [119: two rows of 2 squares, 118, and 2 rectangles, 82: 200], [119: 5 rectangles, 205]:
        # 238 of 330. A row of 5 squares, 295: 59 of 210.
        (
            [square("A", 59.0, 9), rectangle("B", 119.0, 41.0, 7)],
            (330.0, 210.0), 0.0, 2, 238.0 / 330.0 + 59.0 / 210.0,
        ),
        # Rows [69.5: 5 squares, 347.5] twice, [69.5: 3 squares, 208.5, and 3 triangles, 2 x 73 +
        # 2 x 1.73 = 149.5: 358]: 207 of 260. Rows [64.7: 8 triangles, 4.5 x 73 + 7 x 1.73 = 340.6],
        # [69.5: a square, 69.5, and 7 triangles]: these are 4 x 73 + 6 x 1.73 = 302.4, too long
        # by 1.9. As the row is higher than they are, every other one may lie 1.7 higher, and so
        # nearer by 1.7 / sqrt(3) = 0.98: 302.4 - 6 x 0.98 = 296.5. 64.7 + 68 = 132.7 of 260.
        (
            [square("A", 68.0, 14), triangle("B", 73.0, 18)],
            (370.0, 260.0), 1.5, 2, (207.0 + 132.72) / 260.0,
        ),
        # Rows [78.5: a square of 77, 78.5, and 2 lying, 183: 261.5], [91.5: 4 standing, 266] twice:
        # 260 of 300. [78.5: 2 of 77, 157, and 2 of 70, 143: 300]: 77 of 270. [71.5: 4 of 70, 286]
        # and the same column as before twice: 227 of 270.
        (
            [square("A", 70.0, 10), square("B", 77.0, 7), rectangle("C", 90.0, 65.0, 10)],
            (270.0, 300.0), 1.5, 3, 260.0 / 300.0 + (77.0 + 227.0) / 270.0,
        ),
        # Rows [55: 6 squares, 330] three times, [79: 6 standing, 270, and a square: 325]: 244 of
        # 270. [45: 3 rectangles, 237]: 45 of 330.
        (
            [square("A", 55.0, 19), rectangle("B", 79.0, 45.0, 9)],
            (330.0, 270.0), 0.0, 2, 244.0 / 270.0 + 45.0 / 330.0,
        ),
        # Rows [48: 6 squares, 288], [72: 4 circles, 288], [96: a circle, 72, and two rows of 4
        # squares, 192: 264]: 216 of 310.
        (
            [circle("A", 72.0, 5), square("B", 48.0, 14)],
            (300.0, 310.0), 0.0, 1, 216.0 / 310.0,
        ),
        # Rows [45.5: 8 squares, 364], [77.7: a square, 45.5, and 6 triangles, 3.5 x 88 + 5 x 1.73 =
        # 316.7: 362.2]: 45.5 + 76.2 of 250.
        (
            [square("A", 44.0, 9), triangle("B", 88.0, 6)],
            (380.0, 250.0), 1.5, 1, 121.72 / 250.0,
        ),
        # Rows [39: 7 squares, 273], [53: 4 circles, 212, and 2 squares, 78: 290]: 92 of 250.
        (
            [circle("A", 53.0, 4), square("B", 39.0, 9)],
            (300.0, 250.0), 0.0, 1, 92.0 / 250.0,
        ),
    ],
)  # fmt: skip
@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_loads_take_no_more_than_by_hand(
    items: list[Item],
    sheet: tuple[float, float],
    gap: float,
    loads: int,
    by_hand: float,
    effort: str,
) -> None:
    assert material(items, sheet, gap, loads, effort) <= by_hand + 1e-5


def test_two_lanes_below_a_row() -> None:
    """8 squares of 52 mm, 8 rectangles of 96 by 55, 5 triangles of 81 on 360 by 310, 1.5 apart.

    At the left one above the other a square, 53.5, and 2 standing, 195: a lane 56.5 wide and 248.5
    high. Beside it rows [56.5: 2 squares, 107, and 2 lying, 195: 302] three times, then [71.6: a
    square, 53.5, and 5 triangles, 3 x 81 + 4 x 1.73 + 1.5 = 251.4: 304.9 of 361.5 - 56.5 = 305]:
    241.1. In all 247 of 310.
    """
    items = [square("A", 52.0, 8), rectangle("B", 96.0, 55.0, 8), triangle("C", 81.0, 5)]
    assert material(items, (360.0, 310.0), 1.5, 1, "normal") <= 247.0 / 310.0 + 1e-5


def material(
    items: list[Item], sheet: tuple[float, float], gap: float, loads: int, effort: str
) -> float:
    """Return the shares of all sheets that sound loads of everything take together."""
    room = WorkArea.rectangle(0.0, 0.0, *sheet)
    found = lay_out(items, room, gap=gap, effort=effort, nester=None)
    require_sound(found, items, room, gap)
    assert sum(load.repeats for load in found.loads) == loads
    shares = zip(found.used, found.loads, strict=True)
    return sum(used.share * load.repeats for used, load in shares)
