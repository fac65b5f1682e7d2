"""Many times an order takes at most as many times the loads: full loads are full ones."""

from __future__ import annotations

import functools
from itertools import product

import pytest

from geometry.layout import Item, Layout
from geometry.model.cutter import WorkArea
from geometry.shapes.catalogue import build
from tests.layouts import lay_out
from tests.short_form import short_form

#: A small laser's bed less its beam; an A5 card less 5 mm; a hoop.
ROOMS = {"small bed": (139.569, 99.569), "A5": (200.0, 138.0), "hoop": (228.6, 107.95)}
PIECES = {
    "hexagon": {"side": 12.7002},
    "triangle": {"side": 30.0},
    "octagon": {"side": 11.0},
    "diamond_60": {"side": 21.0},
}


@functools.cache
def laid(kind: str, room: str, quantity: int) -> Layout:
    outline = build(kind, PIECES[kind])
    area = WorkArea.rectangle(0.0, 0.0, *ROOMS[room])
    return lay_out([Item("A", outline, quantity)], area, gap=0.5)


def loads_of(layout: Layout) -> int:
    return sum(load.repeats for load in layout.loads)


@pytest.mark.parametrize(
    ("kind", "room", "quantity"),
    short_form(
        [("octagon", "small bed", 50), *((*each, 250) for each in product(PIECES, ROOMS))],
        [("octagon", "small bed", 50)],
    ),
)
def test_four_and_ten_times_an_order(kind: str, room: str, quantity: int) -> None:
    few = laid(kind, room, quantity)
    for times in (4, 10):
        assert loads_of(laid(kind, room, quantity * times)) <= times * loads_of(few)


def test_hexagons_that_fill_forty_loads() -> None:
    # 25 fit (the loads of 250 show it), so 1,000 take 40 loads; they took 42 of 24, because the
    # search ended before the fuller load was handed out.
    layout = laid("hexagon", "small bed", 1000)
    assert [(len(load.placements), load.repeats) for load in layout.loads] == [(25, 40)]


@pytest.mark.long
def test_the_last_load_is_laid_on_a_strip_of_its_own() -> None:
    # 1,020 take no more than 40 full loads and the 20 left as they lie alone at effort `quick`;
    # loads that are not quite as full may take a little less.
    full = laid("hexagon", "small bed", 1000)
    alone = lay_out(
        [Item("A", build("hexagon", PIECES["hexagon"]), 20)],
        WorkArea.rectangle(0.0, 0.0, *ROOMS["small bed"]), gap=0.5, effort="quick",
    )  # fmt: skip
    ours, fewer, rest = (
        material(each) for each in (laid("hexagon", "small bed", 1020), full, alone)
    )
    assert ours <= (fewer + rest) * (1 + 1e-9)


def material(layout: Layout) -> float:
    """Return how many sheets the strips of all loads take."""
    return sum(
        load.repeats * used.share for load, used in zip(layout.loads, layout.used, strict=True)
    )
