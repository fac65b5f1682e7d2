"""Rows of circles and hexagons, some straight above each other and some half a period along.

Centres of circles of diameter d with a gap g are d + g apart. A row straight above another lies
d + g higher, a row half a period along 0.8660 (d + g); such a row is a piece short where the full
rows leave less than half a period. Sums in mm.
"""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item
from geometry.layout.objective import placement_bounds
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out

#: 0.8660: height of a row half a period along, in diameters.
HALF = math.sqrt(3.0) / 2.0


def laid(piece: Item, room: WorkArea, gap: float, effort: str = "quick") -> list[tuple[int, float]]:
    """Return the pieces and the share of the sheet of each load; all is sound."""
    found = lay_out([piece], room, gap=gap, effort=effort)
    outlines = {piece.piece: piece.outline}
    assert not any(check_load(outlines, load, room, gap) for load in found.loads)
    loads = []
    for load, used in zip(found.loads, found.used, strict=True):
        loads += [(len(load.placements), used.share)] * load.repeats
    assert sum(count for count, _ in loads) == piece.quantity
    return loads


def circles(diameter: float, count: int) -> Item:
    return Item("C", build("circle", {"diameter": diameter}), count)


@pytest.mark.parametrize(
    ("diameter", "count", "across", "up", "gap", "used"),
    [
        # rows of 7, 7, 7, 6, 7: 7 x 48.5 - 1.5 = 338 of 350;
        # 47 + 2 x 48.5 + 2 x HALF x 48.5 = 228.0 of 240
        (47.0, 34, 350.0, 240.0, 1.5, (47.0 + 97.0 + 2.0 * HALF * 48.5) / 240.0),
        # columns of 7, 7, 7, 7, 6, 7: 7 x 45 - 3 = 312 of 320;
        # 42 + 3 x 45 + 2 x HALF x 45 = 254.9 of 260
        (42.0, 41, 260.0, 320.0, 3.0, (42.0 + 135.0 + 2.0 * HALF * 45.0) / 260.0),
    ],
)
@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_circles_go_on_one_load(
    diameter: float,
    count: int,
    across: float,
    up: float,
    gap: float,
    used: float,
    effort: str,
) -> None:
    room = WorkArea.rectangle(3.0, 4.0, across, up)
    ((held, share),) = laid(circles(diameter, count), room, gap, effort)
    assert held == count
    assert share <= used + 1e-6


def test_loads_are_not_all_as_full() -> None:
    """30 circles of 64 mm on 240 by 200 mm: 11, 11 and 8 take less than 10, 10 and 10.

    In 200 mm rows of 3 are spread to a period of 68 mm, so that a row of 2 between them lies
    sqrt(64^2 - 34^2) = 54.22 higher. The 11: 3, 3, 2, 3, 64 + 64 + 2 x 54.22 = 236.4 of 240 mm;
    the 8: 3, 2, 3, 64 + 108.4 = 172.4.
    """
    half = math.sqrt(64.0**2 - 34.0**2)
    loads = laid(circles(64.0, 30), WorkArea.rectangle(0.0, 0.0, 240.0, 200.0), 0.0)
    assert len(loads) == 3
    by_hand = (2.0 * (128.0 + 2.0 * half) + 64.0 + 2.0 * half) / 240.0
    assert sum(share for _, share in loads) <= by_hand + 1e-6


@pytest.mark.parametrize("common_line", [False, True])
def test_hexagons_go_on_one_load(common_line: bool) -> None:
    """24 hexagons of 20 mm on 180 by 180 mm: 5, 5, 5, 4, 5.

    Standing on a corner they are 40 mm high and 34.64 wide: 5 take 173.2. Straight above each
    other rows are 40 mm apart, half a period along 30: 40 + 2 x 40 + 2 x 30 = 180.
    """
    piece = Item("H", build("hexagon", {"side": 20.0}), 24)
    room = WorkArea.rectangle(0.0, 0.0, 180.0, 180.0)
    found = lay_out([piece], room, gap=0.0, effort="quick", common_line=common_line)
    (load,) = found.loads
    assert load.repeats == 1
    assert check_load({"H": piece.outline}, load, room, 0.0) == []


def test_a_length_of_roll_of_circles() -> None:
    """34 circles of 47 mm with a gap of 1.5 mm on a roll 350 mm wide: columns of 7, 7, 7, 6, 7.

    Their length is the height of those rows on the sheet above, 228.0 mm.
    """
    piece, room = circles(47.0, 34), WorkArea.roll(0.0, 0.0, 350.0)
    (load,) = lay_out([piece], room, gap=1.5, effort="quick").loads
    outlines = {"C": piece.outline}
    assert check_load(outlines, load, room, 1.5) == []
    length = placement_bounds(load.placements, outlines).right
    assert length <= 47.0 + 97.0 + 2.0 * HALF * 48.5 + 1e-6


def test_pieces_that_may_not_turn_lie_in_such_rows() -> None:
    """The same circles on 240 by 350 mm stand in such columns however they may be turned."""
    outline = build("circle", {"diameter": 47.0})
    room = WorkArea.rectangle(0.0, 0.0, 240.0, 350.0)
    for turns in ("fixed", "half-turn"):
        assert len(laid(Item("C", outline, 34, turns=turns), room, 1.5)) == 1
