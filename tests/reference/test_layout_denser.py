"""Packings that plain rows do not reach: blocks of two kinds of rows, spread and squeezed rows."""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.layout import Item, Layout
from geometry.layout.effort import BEST, NORMAL, Budget, SearchEnded, unlimited
from geometry.layout.fitting.overlap_removal import parted
from geometry.layout.kinds.kind_strips import kind_strips
from geometry.layout.objective import cut_length
from geometry.layout.one_kind.one_kind import fillings
from geometry.layout.rows.many_rows import ManyRows
from geometry.layout.rows.measured_rows import heights_across, lengths_along
from geometry.layout.rows.row_blocks import row_blocks
from geometry.layout.rows.row_figures import Figures
from geometry.layout.rows.row_patterns import patterns_of, shape_of
from geometry.layout.rows.row_strips import strip_across, strip_along
from geometry.layout.rows.squeezed_rows import squeezed
from geometry.layout.rows.staircases import side_by_side
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from geometry.offset.allowance import make_patch
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out

INCH = 25.4


def laid(item: Item, width: float, height: float, **how: object) -> Layout:
    room = WorkArea.rectangle(3.0, 5.0, width, height)
    layout = lay_out([item], room, gap=0.0, **how)
    for load in layout.loads:
        assert check_load({item.piece: item.outline}, load, room, 0.0) == []
    assert sum(len(load.placements) * load.repeats for load in layout.loads) == item.quantity
    return layout


def test_rows_beside_columns_of_diamonds() -> None:
    """Diamonds of 60 degrees, side 1 in, on 12 x 12 in: 148 on a load.

    Sheared rows: 11 are 11.5 in long, 13 rows are 13 x sqrt(3)/2 = 11.258 in high: 143. With 4
    columns of 11, 4 x sqrt(3)/2 = 3.464 in wide and 11.5 high, 13 rows of 8 are left room, 8.5 in
    long: 44 + 104 = 148 in 11.964 in.
    """
    item = Item("D", build("diamond_60", {"side": INCH}), 148)
    layout = laid(item, 12 * INCH, 12 * INCH, effort="normal")
    assert sum(load.repeats for load in layout.loads) == 1
    used = layout.used[0]
    assert (used.right - used.left, used.top - used.bottom) >= (11.9 * INCH, 11.2 * INCH)


def test_grain_keeps_columns_out() -> None:
    # derived: turned by half a turn alone, no diamond stands in a column: at most 143 and edges
    item = Item("D", build("diamond_60", {"side": INCH}), 148, "half-turn")
    layout = laid(item, 12 * INCH, 12 * INCH, effort="normal")
    turns = {round(each.move.turn_deg, 6) for each in layout.loads[0].placements}
    assert turns <= {0.0, 180.0}


OCTAGON = build("octagon", {"side": 2.0 * math.sin(math.pi / 8.0) * INCH})


def test_seventeen_octagons_exist() -> None:
    """Worked by hand: rows of 4, 3, 3, 3 and 4 octagons of circumradius 1 in on 8 x 8 in.

    In units of the width d = 2 cos 22.5 in two octagons that lie alike keep clear where their
    middles are d apart along x or y, or |dx| + |dy| >= sqrt 2 d. Middles have (8 / d - 1) d.
    """
    d = 2.0 * math.cos(math.pi / 8.0) * INCH
    side = 8.0 * INCH / d - 1.0
    low = [(0.0, 0.0), (1.164, 0.0), (2.3292, 0.0), (side, 0.0)]
    next_ = [(0.582, 0.8323), (1.7464, 0.8322), (3.11, 1.0)]
    middle = [(0.0, side / 2.0), (1.164, side / 2.0), (2.345, side / 2.0)]
    half = [*low, *next_]
    rows = [*half, *middle, *((x, side - y) for x, y in half)]
    box = OCTAGON.bounds
    placements = tuple(
        Placement("O", Rigid(0.0, d * x - box.left, d * y - box.bottom)) for x, y in rows
    )
    room = WorkArea.rectangle(0.0, 0.0, 8.0 * INCH, 8.0 * INCH)
    assert len(placements) == 17
    assert check_load({"O": OCTAGON}, Load(placements), room, 0.0) == []


def test_seventeen_octagons_are_found() -> None:
    # derived: as above; straight rows hold 4 x 4
    room = WorkArea.rectangle(3.0, 5.0, 8.0 * INCH, 8.0 * INCH)
    item = Item("O", OCTAGON, 17)
    *_, found = fillings(item, room, gap=0.0, effort=BEST, budget=unlimited())
    assert len(found) == 17
    assert check_load({"O": OCTAGON}, Load(found), room, 0.0) == []
    *_, rows = fillings(item, room, gap=0.0, effort=NORMAL, budget=unlimited())
    assert len(rows) == 16


def test_no_more_octagons_than_go() -> None:
    # derived: 20 of 2.828 in2 take 88 % of 64 in2; rows squeezed from 8.44 in never come apart
    room = WorkArea.rectangle(3.0, 5.0, 8.0 * INCH, 8.0 * INCH)
    item = Item("O", OCTAGON, 20)
    assert squeezed(item, room, 20, gap=0.0, effort=BEST, budget=unlimited()) is None
    with pytest.raises(SearchEnded):
        squeezed(item, room, 17, gap=0.0, effort=BEST, budget=Budget(30.0))


def test_spread_rows_lie_lower() -> None:
    """Discs of 10 mm across 44 mm: 4 in a row, 3 between them.

    Touching, the second row is 10 x sqrt(3)/2 = 8.660 mm up; spread to (44 - 10) / 3 = 11.333 mm,
    sqrt(100 - 5.667^2) = 8.239: 18.239 mm of a sheet of 300 for 7.
    """
    disc = Outline.of([(0.0, 5.0, 1.0), (10.0, 5.0, 1.0)])
    for effort in ("quick", "normal"):
        used = laid(Item("C", disc, 7), 44.0, 300.0, effort=effort).used[0]
        assert used.top - used.bottom == pytest.approx(
            10.0 + math.sqrt(100.0 - (17 / 3) ** 2), abs=1e-3
        )
        assert used.top - used.bottom < 18.5


@pytest.mark.parametrize("effort", ["normal", "best"])
def test_common_lines_keep_the_honeycomb(effort: str) -> None:
    # derived: 7 columns of 4 hexagons have 105 edges; spread rows take 0.9 % less of the sheet and
    # cut all 168
    item = Item("H", build("hexagon", {"side": INCH}), 28)
    layout = laid(item, 12 * INCH, 18 * INCH, effort=effort, common_line=True)
    assert cut_length(layout.loads[0].placements, {"H": item.outline}) / INCH <= 108.0 + 1e-3
    assert layout.used[0].share == pytest.approx(5.0 / 12.0, abs=1e-4)


SQUARE = Outline.of([(0, 0), (10, 0), (10, 10), (0, 10)])


def test_overlapping_squares_are_parted() -> None:
    start = np.array([(0.0, 0.0), (4.0, 1.0), (1.0, 5.0)])
    found = parted(SQUARE, [0.0] * 3, start, (20.5, 20.5), gap=0.0, budget=unlimited())
    assert found is not None
    room = WorkArea.rectangle(0.0, 0.0, 20.5, 20.5)
    load = Load(tuple(Placement("S", Rigid(0.0, x, y)) for x, y in found.tolist()))
    assert check_load({"S": SQUARE}, load, room, 0.0) == []
    # derived: three squares of 100 mm2 do not go on 16 x 16
    assert parted(SQUARE, [0.0] * 3, start, (16.0, 16.0), gap=0.0, budget=unlimited()) is None


@pytest.mark.parametrize("kind", ["triangle", "hexagon", "diamond_45", "kite"])
def test_a_staircase_has_every_strip(kind: str) -> None:
    item = Item("A", build(kind, {"side": 20.0}), 30)
    for stack in patterns_of(shape_of(item.outline, 1.0), item, 0.0).stacks[:6]:
        figures: Figures = stack.figures
        rows, height = ManyRows([stack]), np.array([130.0])
        (along,) = lengths_along(rows, 30, height)
        (across,) = heights_across(rows, 30, height, np.array([400.0]))
        for count in range(1, 31):
            one = strip_along(figures, count, 130.0)
            other = strip_across(figures, count, 130.0, 400.0)
            assert along[count] == pytest.approx(one.length if one else math.inf, abs=1e-5)
            assert across[count] == pytest.approx(other.length if other else math.inf, abs=1e-5)


def test_two_strips_side_by_side() -> None:
    # derived: one piece takes 5, two 8, three 12; a gap of 1 between strips: 1 + 2 are 14, 12 alone
    lengths = np.array([0.0, 5.0, 8.0, 12.0, 20.0])
    best, first = side_by_side(lengths, 1.0)
    assert best.tolist() == [0.0, 5.0, 8.0, 12.0, 17.0]
    assert int(first[4]) == 2


def test_kinds_share_a_sheet_in_strips_of_their_own() -> None:
    """12 squares and 12 discs, 30 mm wide, on 120 x 220 mm: one strip each.

    Squares: 4 across 120 mm, 3 rows, 90 mm. Discs: 3 straight rows of 4 take 90 mm more.
    """
    square = Outline.of([(0, 0), (30, 0), (30, 30), (0, 30)])
    disc = Outline.of([(0.0, 15.0, 1.0), (30.0, 15.0, 1.0)])
    room = WorkArea.rectangle(3.0, 5.0, 120.0, 220.0)
    items = [Item("S", square, 12), Item("C", disc, 12)]
    outlines = {item.piece: item.outline for item in items}
    blocks = {
        item.piece: row_blocks(item, room, 12, gap=0.0, effort=NORMAL, budget=unlimited())[1]
        for item in items
    }
    for whole_rows in (True, False):
        placed = kind_strips(
            items,
            {"S": 12, "C": 12},
            blocks,
            room,
            whole_rows=whole_rows,
            gap=0.0,
            effort=NORMAL,
            budget=unlimited(),
        )
        load = Load(tuple(each.placement for each in placed))
        assert load.outlines == {"S": 12, "C": 12}
        assert check_load(outlines, load, room, 0.0) == []
        squares = [each for each in load.placements if each.piece == "S"]
        # derived: three rows of 30 mm from the lower side, 5 mm up
        assert max(each.move.outline(square).bounds.top for each in squares) == pytest.approx(95.0)


def test_a_mixture_saves_a_load() -> None:
    # own measurement: a general nester needs two letter sheets for these patches, rows of one kind
    # and pieces one by one take three
    items = [
        Item(kind, make_patch(build(kind, {"side": size}), INCH / 4).outline, count)
        for kind, size, count in (("pentagon", INCH, 15), ("diamond_45", 1.5 * INCH, 20))
    ]
    room = WorkArea.rectangle(0.0, 0.0, 8.0 * INCH, 10.5 * INCH)
    layout = lay_out(items, room, gap=1.0, effort="normal")
    outlines = {item.piece: item.outline for item in items}
    assert all(check_load(outlines, load, room, 1.0) == [] for load in layout.loads)
    assert sum(load.repeats for load in layout.loads) == 2
