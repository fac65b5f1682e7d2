"""Cells of grids, covers of regions, and kinds that go on no grid."""

from __future__ import annotations

import math
from collections import Counter

import pytest

from geometry.layout import Item
from geometry.layout.effort import Budget, unlimited
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.grids.cell_cover import CellCover
from geometry.layout.grids.grid_strips import grid_strips
from geometry.layout.grids.grid_ways import grids_of, incircle, ways_on
from geometry.layout.objective import used_strip
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build

SIDE = 40.0


def _item(kind: str, quantity: int = 1, **how: float) -> Item:
    return Item(kind, build(kind, dict(how or {"side": SIDE})), quantity)


def _laid(
    items: list[Item], room: WorkArea, *, gap: float = 0.0, share: float = 1.0
) -> list[Placed] | None:
    wanted = {item.piece: item.quantity for item in items}
    found = grid_strips(items, wanted, room, share, gap=gap, nodes=5_000, budget=unlimited())
    if found is not None:
        load = Load(tuple(each.placement for each in found))
        assert check_load({item.piece: item.outline for item in items}, load, room, gap) == []
        assert Counter(each.piece for each in found) == Counter(wanted)
    return found


def _share(items: list[Item], room: WorkArea, gap: float) -> float:
    found = _laid(items, room, gap=gap)
    assert found is not None
    outlines = {item.piece: item.outline for item in items}
    return used_strip([each.placement for each in found], outlines, room).share


@pytest.mark.parametrize(
    ("kind", "cells", "ways"),
    [("triangle", 1, 2), ("diamond_60", 2, 3), ("half_hexagon", 3, 6), ("hexagon", 6, 1)],
)
def test_pieces_of_triangles(kind: str, cells: int, ways: int) -> None:
    """A hexagon is 6 triangles, its half 3, a diamond 2; turns that look alike count once."""
    (grid,) = grids_of([_item(kind), _item("triangle")], 0.0)
    assert grid.triangular
    found = ways_on(_item(kind), grid, swapped=False)
    assert {len(way.cells) for way in found} == {cells}
    assert len(found) == ways
    assert len(ways_on(_item(kind), grid, swapped=True)) == ways


def test_pieces_of_quarters() -> None:
    """A square has 4 quarters, half a square 2 in four ways, a quarter 1, two squares 8 in two.

    On a grid on point, whose squares are half as large, they are made of diagonal halves.
    """
    kinds = {
        "square": _item("square"),
        "half": _item("half_square_triangle"),
        "quarter": _item("quarter_square_triangle", base=SIDE),
        "two": _item("rectangle", width=2.0 * SIDE, height=SIDE),
    }
    upright, on_point = sorted(grids_of(list(kinds.values()), 0.0), key=lambda each: -each.side)
    assert not upright.triangular
    assert upright.side == pytest.approx(SIDE)
    assert on_point.side == pytest.approx(SIDE / math.sqrt(2.0))
    grid = upright
    found = {name: ways_on(item, grid, swapped=False) for name, item in kinds.items()}
    cells = {name: {len(way.cells) for way in ways} for name, ways in found.items()}
    assert cells == {"square": {4}, "half": {2}, "quarter": {1}, "two": {8}}
    counts = {name: len(ways) for name, ways in found.items()}
    assert counts == {"square": 1, "half": 4, "quarter": 4, "two": 2}


@pytest.mark.parametrize("kind", ["kite", "octagon", "clamshell"])
def test_other_kinds_go_on_no_grid(kind: str) -> None:
    """Kites have right angles beside 60 degrees, octagons leave squares, clamshells have arcs."""
    how = {"width": SIDE} if kind == "clamshell" else {"side": SIDE}
    items = [_item("triangle"), Item(kind, build(kind, dict(how)), 1)]
    assert list(grids_of(items, 0.0)) == []


def test_sides_that_differ_by_a_hundredth_go_on_no_grid() -> None:
    """Two sides of 40.01 and 40 mm have no common part that is a third of one or more."""
    assert list(grids_of([_item("triangle"), _item("hexagon", side=40.01)], 0.0)) == []


def test_the_least_grid_of_two_sizes() -> None:
    """Triangles of 40 and 60 mm are both made of triangles of 20 mm: 4 and 9."""
    small, large = _item("triangle"), _item("triangle", side=60.0)
    (grid,) = grids_of([small, large], 0.0)
    assert grid.side == pytest.approx(20.0)
    assert {len(way.cells) for way in ways_on(large, grid, swapped=False)} == {9}


def test_pieces_that_may_not_turn_keep_their_turns() -> None:
    """A triangle with its base level fits a level grid one way, and one with upright lines not."""
    fixed = Item("T", build("triangle", {"side": SIDE}), 4, turns="fixed")
    (grid,) = grids_of([fixed, _item("hexagon")], 0.0)
    assert [way.variant.turn_deg for way in ways_on(fixed, grid, swapped=False)] == [0.0]
    assert ways_on(fixed, grid, swapped=True) == []


def test_the_largest_circle_in_a_piece() -> None:
    """In a triangle a third of its height, in a diamond half of it; in half a square less."""
    assert incircle(build("triangle", {"side": 6.0}))[1] == pytest.approx(math.sqrt(3.0))
    assert incircle(build("diamond_60", {"side": 4.0}))[1] == pytest.approx(math.sqrt(3.0))
    half = build("half_square_triangle", {"side": 1.0})
    assert incircle(half)[1] == pytest.approx(1.0 / (2.0 + math.sqrt(2.0)))
    middle, radius = incircle(build("rectangle", {"width": 9.0, "height": 4.0}))
    assert radius == pytest.approx(2.0)
    assert middle[1] == pytest.approx(0.0)


def test_a_gap_widens_the_grid() -> None:
    """6 squares and 6 rectangles of two squares, gap 1 mm: 18 cells of 41 mm, 6 by 3.

    Six cells across 245 mm are 6 x 41 - 1; three columns are 3 x 41 - 1 = 122 mm.
    """
    items = [_item("square", 6), _item("rectangle", 6, width=2.0 * SIDE + 1.0, height=SIDE)]
    room = WorkArea.rectangle(0.0, 0.0, 300.0, 245.01)
    assert _laid(items, room, gap=1.0) is None
    items = [_item("square", 6), _item("rectangle", 6, width=2.0 * SIDE, height=SIDE)]
    assert _share(items, room, 1.0) == pytest.approx(122.0 / 300.0, rel=1e-4)


def test_triangles_and_diamonds_keep_a_gap() -> None:
    """9 triangles and 8 diamonds are 25 triangles: with a gap of 1 mm their grid has 41.73 mm.

    Along 231 mm, 5.5 of these sides and less, a row holds 10; 30 in three rows are 3 x 36.14 mm
    high less the gap at both ends and what triangles leave at their corners.
    """
    items = [_item("triangle", 9), _item("diamond_60", 8)]
    room = WorkArea.rectangle(0.0, 0.0, 231.0, 400.0)
    assert _share(items, room, 1.0) <= (3.0 * 36.142 - 1.0) / 400.0 + 1e-6


def test_a_region_with_no_cover_is_searched_to_the_end() -> None:
    """Two dominoes do not cover four cells of which the middle two are already one's."""
    places = [{0: [0b0011], 1: [0b0110], 2: [0b1100]}]
    assert CellCover(4, places, 0, 100).found([2]) == [(0, 0b0011), (0, 0b1100)]
    only_middle = [{1: [0b0110]}]
    assert CellCover(4, only_middle, 0, 100).found([1]) is None
    assert CellCover(4, only_middle, 2, 100).found([1]) == [(0, 0b0110)]


def test_states_are_the_limit() -> None:
    """A cover that one state does not find is not found with one."""
    places = [{0: [0b0011], 1: [0b0110], 2: [0b1100]}]
    cover = CellCover(4, places, 0, 1)
    assert cover.found([2]) is None
    assert cover.nodes <= 0


def test_more_than_a_sheet_holds_is_refused_at_once() -> None:
    """100 hexagons of 40 mm do not lie on 300 x 400 mm, and a caller may end the search."""
    room = WorkArea.rectangle(0.0, 0.0, 300.0, 400.0)
    assert _laid([_item("hexagon", 100), _item("triangle", 3)], room) is None
    items = [_item("hexagon", 10), _item("triangle", 24)]
    wanted = {item.piece: item.quantity for item in items}
    ended = Budget(0.0, lambda: True)
    found = grid_strips(items, wanted, room, 1.0, gap=0.0, nodes=1, budget=ended)
    assert found is None


def test_a_tiny_piece_beside_a_large_one_takes_no_time() -> None:
    """A square of 2 m has 4 million cells of 1 mm: such grids are left out."""
    items = [_item("square", side=2000.0), _item("triangle", side=0.5), _item("square", side=1.0)]
    assert list(grids_of(items, 0.0)) == []
