"""Bounds of layouts against published densities and packings that are known to exist."""

from __future__ import annotations

import math

import pytest

from geometry.layout import Item
from geometry.layout.bound import min_length, min_loads, most_on_one
from geometry.layout.rows.row_units import UnitShape, units_of
from geometry.layout.rows.stacks import refined, stacks
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.shapes.catalogue import build
from tests.layouts import lay_out


def regular(count: int, radius: float = 20.0) -> Outline:
    steps = (math.tau * index / count for index in range(count))
    return Outline.of([(radius * math.cos(step), radius * math.sin(step)) for step in steps])


#: Densest packings: T. Hales and W. Kusner, arXiv 1602.07220 (pentagon); L. Fejes Toth 1950, the
#: densest lattice of a body with a centre (octagon); A. Thue 1910 (disc); tiles (the others).
DENSEST = [
    (regular(5), (5 - math.sqrt(5)) / 3),
    (regular(8), (4 + 4 * math.sqrt(2)) / (5 + 4 * math.sqrt(2))),
    (build("circle", {"diameter": 40.0}), math.pi / math.sqrt(12)),
    (regular(6), 1.0),
    (build("kite", {"side": 40.0}), 1.0),
]


@pytest.mark.parametrize(("outline", "density"), DENSEST)
def test_a_large_room_is_filled_no_denser_than_anyone_can(outline: Outline, density: float) -> None:
    side = 40_000.0
    room = WorkArea.rectangle(0, 0, side, side)
    most = most_on_one(Item("A", outline, 10**9), room, 0.0)
    # Of arcs only what chords surely hold is counted: the bound is a little above the truth.
    assert density - 1e-3 <= most * area(outline) / side**2 <= density * 1.005


#: Squares of side 1 go into one of this side: E. Friedman, "Packing unit squares in squares",
#: Electronic Journal of Combinatorics, Dynamic Survey DS7.
SQUARES = [(10, 3 + math.sqrt(0.5)), (19, 3 + 4 * math.sqrt(2) / 3), (28, 3 + 2 * math.sqrt(2))]


@pytest.mark.parametrize(("count", "side"), SQUARES)
def test_no_bound_denies_a_packing_that_exists(count: int, side: float) -> None:
    square = build("square", {"side": 30.0})
    room = WorkArea.rectangle(0, 0, 30.0 * side + 1e-6, 30.0 * side + 1e-6)
    assert most_on_one(Item("A", square, 99), room, 0.0) >= count
    assert min_loads([Item("A", square, count)], room, 0.0) == 1


@pytest.mark.parametrize("turns", ["fixed", "half-turn", (0.0, 90.0)])
def test_upright_squares_go_in_rows_and_no_better(turns: str | tuple[float, ...]) -> None:
    # derived: 1 mm gaps: 5 squares of 50.8 mm and 4 gaps take 258 mm, 6 take 309.8 mm
    item = Item("A", build("square", {"side": 50.8}), 99, turns)
    room = WorkArea.rectangle(0, 0, 304.8, 304.8)
    assert most_on_one(item, room, 1.0) == 25
    assert len(lay_out([item], room, gap=1.0).loads[0].placements) == 25


def test_a_roll_is_no_shorter_than_its_bound() -> None:
    items = [Item("A", regular(5), 30), Item("B", build("square", {"side": 30.0}), 20)]
    roll = WorkArea.roll(0, 0, 200)
    layout = lay_out(items, roll, gap=1.0)
    outlines = {item.piece: item.outline for item in items}
    right = max(
        each.move.outline(outlines[each.piece]).bounds.right for each in layout.loads[0].placements
    )
    assert layout.length_bound == min_length(items, roll, 1.0)
    # derived: the pieces' own areas, and no less than that of what they lie on
    assert sum(area(i.outline) * i.quantity for i in items) / 200 - 1 < layout.length_bound < right


def test_apple_cores_tile_with_their_quarter_turns() -> None:
    # derived: four equal quarter circles, two hollow: each belly fills a neighbour's hollow
    core = build("apple_core", {"length": 76.2})
    shape, best = UnitShape(core, 0.0), 0.0
    for unit in units_of(shape, 0.0, half_turns=True, quarter_turns=True):
        for stack in stacks(shape, unit, half_turns=True):
            fine = refined(stack)
            best = max(best, fine.density * area(core) if fine is not None else 0.0)
    # Where a neighbour lies along the hollow is found with chords: that loses up to one per cent.
    assert 0.99 < best <= 1.0 + 1e-6
