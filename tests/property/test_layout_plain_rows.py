"""At quick effort random kits never take more than upright boxes in rows, as a person begins.

The rows are worked here with the boxes' sizes alone and share no code with the layouts. Common
practice, no source.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from geometry.layout import Item, Layout
from geometry.model.cutter import WorkArea
from geometry.model.transform import Rigid
from geometry.proof.overlap import check_load
from tests.layouts import lay_out
from tests.property.test_layout_kits import items

_SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]
#: Sizes that differ by less are the same, mm, and shares of a sheet.
_ROUNDING, _SAME = 1e-6, 1e-6


def boxes(item: Item) -> list[tuple[float, float]]:
    """Return widths and heights of a piece's box: as it is and, if it may, turned a quarter."""
    stated = item.stated_turns_deg
    turns = [0.0, 90.0] if stated is None else list(stated)
    outlines = [Rigid(turn).outline(item.outline) for turn in turns]
    return [(each.bounds.width, each.bounds.height) for each in outlines]


def in_a_row(across: float, width: float, gap: float) -> int:
    return math.floor((across + gap + _ROUNDING) / (width + gap))


def rows_by_hand(kit: list[Item], across: float, gap: float, turned: int) -> list[float]:
    """Return the height of each kind's rows, the gaps within them included, mm.

    ``turned`` is 0 for rows along the sheet's width, and 1 for rows along its height.
    """
    found = []
    for item in kit:
        sizes = [(box[turned], box[1 - turned]) for box in boxes(item)]
        fitting = [(in_a_row(across, wide, gap), tall) for wide, tall in sizes]
        found.append(
            min(
                (math.ceil(item.quantity / held) * (tall + gap) - gap
                 for held, tall in fitting if held),
                default=math.inf,
            )
        )  # fmt: skip
    return found


def material(layout: Layout) -> float:
    pairs = zip(layout.loads, layout.used, strict=True)
    return sum(used.share * load.repeats for load, used in pairs)


def assert_no_worse_than_rows(kit: list[Item], width: float, height: float, gap: float) -> None:
    sides = ((width, height, 0), (height, width, 1))
    by_hand = math.inf
    for across, along, turned in sides:
        rows = rows_by_hand(kit, across, gap, turned)
        length = sum(rows) + gap * (len(rows) - 1)
        if length <= along + _ROUNDING:
            by_hand = min(by_hand, length / along)
    # Only kits that rows lay on one load.
    assume(by_hand < math.inf)
    room = WorkArea.rectangle(0.0, 0.0, width, height)
    layout = lay_out(kit, room, gap=gap, effort="quick")
    outlines = {item.piece: item.outline for item in kit}
    (load,) = layout.loads
    assert load.repeats == 1
    assert check_load(outlines, load, room, gap) == []
    assert material(layout) <= by_hand + _SAME


def assert_no_more_loads_than_rows(
    item: Item, width: float, height: float, gap: float, quantity: int
) -> None:
    held = max(in_a_row(width, w, gap) * in_a_row(height, h, gap) for w, h in boxes(item))
    assume(held > 0)
    room = WorkArea.rectangle(0.0, 0.0, width, height)
    kit = [Item(item.piece, item.outline, quantity, item.turns, item.mirror)]
    layout = lay_out(kit, room, gap=gap, effort="quick")
    assert sum(load.repeats for load in layout.loads) <= math.ceil(quantity / held)


SHEETS = (st.floats(150, 420), st.floats(150, 420), st.sampled_from([0.0, 1.0, 3.0]))


@pytest.mark.timeout(900)
@settings(max_examples=8, deadline=None, derandomize=True, suppress_health_check=_SLOW)
@given(items(), *SHEETS)
def test_one_load_takes_no_more_than_rows(
    kit: list[Item], width: float, height: float, gap: float
) -> None:
    assert_no_worse_than_rows(kit, width, height, gap)


@pytest.mark.long
@pytest.mark.timeout(36000)
@settings(max_examples=500, deadline=None, derandomize=True, suppress_health_check=_SLOW)
@given(items(), *SHEETS)
def test_five_hundred_loads_take_no_more_than_rows(
    kit: list[Item], width: float, height: float, gap: float
) -> None:
    assert_no_worse_than_rows(kit, width, height, gap)


@pytest.mark.timeout(900)
@settings(max_examples=5, deadline=None, derandomize=True, suppress_health_check=_SLOW)
@given(items(max_kinds=1), *SHEETS, st.integers(10, 120))
def test_no_more_loads_than_full_rows(
    kit: list[Item], width: float, height: float, gap: float, quantity: int
) -> None:
    assert_no_more_loads_than_rows(kit[0], width, height, gap, quantity)


@pytest.mark.long
@pytest.mark.timeout(36000)
@settings(max_examples=300, deadline=None, derandomize=True, suppress_health_check=_SLOW)
@given(items(max_kinds=1), *SHEETS, st.integers(10, 120))
def test_no_more_loads_than_full_rows_of_three_hundred_kinds(
    kit: list[Item], width: float, height: float, gap: float, quantity: int
) -> None:
    assert_no_more_loads_than_rows(kit[0], width, height, gap, quantity)


def test_rows_by_hand_of_two_kinds() -> None:
    # derived: 7 squares of 40 mm in 300 mm: 12 in two rows, 81 mm with a gap of 1; five rectangles
    # of 50 by 30 mm in one row, 254 mm long and 30 high
    square = Item("S", WorkArea.rectangle(0.0, 0.0, 40.0, 40.0).boundary, 12)
    lying = Item("R", WorkArea.rectangle(0.0, 0.0, 50.0, 30.0).boundary, 5)
    assert rows_by_hand([square, lying], 300.0, 1.0, 0) == [81.0, 30.0]
