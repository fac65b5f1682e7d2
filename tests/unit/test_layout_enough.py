"""The search for a fuller load ends when a fuller one would save no load."""

from __future__ import annotations

import functools
import math

import pytest

from geometry.layout import Item
from geometry.layout.bound import min_loads
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out
from tests.short_form import short_form

SHEET = WorkArea.rectangle(0.0, 0.0, 190.0, 277.0)
GAP = 1.0


@functools.cache
def _held() -> int:
    """Return how many a full load of a large order holds."""
    large = Item("A", build("hexagon", {"side": 25.4}), 10_000)
    return len(lay_out([large], SHEET, gap=GAP).loads[0].placements)


QUANTITIES = [1, 7, 20, 23, 40, 41, 63, 85, 110]


@pytest.mark.parametrize("quantity", short_form(QUANTITIES, {*QUANTITIES} - {7}))
def test_no_load_is_spent_for_ending_the_search_early(quantity: int) -> None:
    outline = build("hexagon", {"side": 25.4})
    layout = lay_out([Item("A", outline, quantity)], SHEET, gap=GAP)
    assert sum(load.repeats * len(load.placements) for load in layout.loads) == quantity
    assert sum(load.repeats for load in layout.loads) <= math.ceil(quantity / _held())
    assert all(not check_load({"A": outline}, load, SHEET, GAP) for load in layout.loads)


def test_a_search_that_ended_early_has_reached_the_bound() -> None:
    items = [Item("A", build("hexagon", {"side": 25.4}), 40)]
    layout = lay_out(items, SHEET, gap=GAP)
    assert sum(load.repeats for load in layout.loads) == min_loads(items, SHEET, GAP) == 2
