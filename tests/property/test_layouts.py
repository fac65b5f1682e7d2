"""What must hold for every layout: nothing overlaps, nothing outside, every piece made."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.layout import Item
from geometry.layout.fitting.fit import DoesNotFit
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.proof.overlap import check_load
from tests.layouts import lay_out
from tests.property import strategies

ONE_KIND = st.tuples(
    strategies.outlines,
    st.floats(60, 400),
    st.floats(60, 400),
    st.sampled_from([0.0, 1.0, 2.4]),
    st.integers(1, 40),
    st.sampled_from(["free", "half-turn", "fixed", (0.0, 90.0)]),
)
SEVERAL_KINDS = st.tuples(
    st.lists(st.tuples(strategies.outlines, st.integers(1, 9)), min_size=2, max_size=3),
    st.floats(150, 400),
    st.sampled_from([0.0, 1.0]),
    st.booleans(),
    st.booleans(),
)


def assert_one_kind_can_be_cut(
    outline: Outline,
    width: float,
    height: float,
    gap: float,
    quantity: int,
    turns: str | tuple[float, ...],
) -> None:
    room = WorkArea.rectangle(7.5, 3.25, width, height)
    try:
        layout = lay_out([Item("A", outline, quantity, turns)], room, gap=gap)
    except DoesNotFit as error:
        assert error.short_by > 0.0
        assert error.largest_scale < 1.0
        return
    placed = 0
    for load in layout.loads:
        assert check_load({"A": outline}, load, room, gap) == []
        placed += len(load.placements) * load.repeats
        allowed = {"half-turn": {0.0, 180.0}, "fixed": {0.0}}.get(turns)  # type: ignore[arg-type]
        if isinstance(turns, tuple):
            allowed = set(turns)
        if allowed is not None:
            assert {each.move.turn_deg for each in load.placements} <= allowed
    assert placed == quantity


def assert_several_can_be_cut(
    kinds: list[tuple[Outline, int]], side: float, gap: float, roll: bool, sets: bool
) -> None:
    items = [Item(str(number), outline, count) for number, (outline, count) in enumerate(kinds)]
    room = WorkArea(WorkArea.rectangle(3, 4, side, side).boundary, (), open_right=roll)
    try:
        layout = lay_out(items, room, gap=gap, sets=sets)
    except DoesNotFit as error:
        assert error.piece in {item.piece for item in items}
        return
    made = dict.fromkeys((item.piece for item in items), 0)
    outlines = {item.piece: item.outline for item in items}
    for load in layout.loads:
        assert check_load(outlines, load, room, gap) == []
        for piece, count in load.outlines.items():
            made[piece] += count * load.repeats
    assert made == {item.piece: item.quantity for item in items}


@settings(max_examples=5, deadline=None, derandomize=True)
@given(ONE_KIND)
def test_layouts_can_be_cut(case: tuple[Any, ...]) -> None:
    assert_one_kind_can_be_cut(*case)


@pytest.mark.long
@settings(max_examples=100, deadline=None)
@given(ONE_KIND)
def test_a_hundred_layouts_can_be_cut(case: tuple[Any, ...]) -> None:
    assert_one_kind_can_be_cut(*case)


@pytest.mark.long
@settings(max_examples=2, deadline=None, derandomize=True)
@given(SEVERAL_KINDS)
def test_mixed_layouts_can_be_cut(case: tuple[Any, ...]) -> None:
    assert_several_can_be_cut(*case)


@pytest.mark.long
@settings(max_examples=40, deadline=None)
@given(SEVERAL_KINDS)
def test_forty_mixed_layouts_can_be_cut(case: tuple[Any, ...]) -> None:
    assert_several_can_be_cut(*case)
