"""Densities of endless layouts against published ones, and areas and orders of every sort."""

import math

import pytest

from geometry.layout import Item
from geometry.layout.fitting.fit import DoesNotFit, candidate_turns
from geometry.layout.rows.row_units import UnitShape, units_of
from geometry.layout.rows.stacks import refined, stacks
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load
from geometry.proof.overlap import check_load
from tests.layouts import lay_out


def regular(count: int, radius: float = 20.0) -> Outline:
    steps = (math.tau * index / count for index in range(count))
    return Outline.of([(radius * math.cos(step), radius * math.sin(step)) for step in steps])


def densest(outline: Outline) -> float:
    shape = UnitShape(outline, 0.0)
    found = [
        stack
        for turn in candidate_turns(Item("A", outline, 1))
        for unit in units_of(shape, turn, half_turns=True)
        for stack in stacks(shape, unit, half_turns=True)
    ]
    # Refining raises a density by little: the densest ones before it are enough.
    found.sort(key=lambda stack: -stack.density)
    fine = [refined(stack) for stack in found[:40]]
    return max(each.density * area(outline) for each in fine if each is not None)


#: Densest double lattices: G. and W. Kuperberg, Discrete & Computational Geometry 5 (1990) for
#: the pentagon, (5 - sqrt 5) / 3; heptagon 0.8926 and octagon (4 + 4 sqrt 2) / (5 + 4 sqrt 2) =
#: 0.9062 as tabled in the literature on smoothed and regular polygons; every triangle and every
#: quadrilateral tiles.
DENSITIES = [
    (regular(5), (5 - math.sqrt(5)) / 3, 1e-4),
    (regular(7), 0.8926, 1e-4),
    (regular(8), (4 + 4 * math.sqrt(2)) / (5 + 4 * math.sqrt(2)), 1e-4),
    (regular(6), 1.0, 1e-6),
    (Outline.of([(0, 0), (31, 4), (9, 22)]), 1.0, 1e-6),
    (Outline.of([(0, 0), (30, -3), (37, 21), (4, 26)]), 1.0, 1e-4),
]


@pytest.mark.parametrize(("outline", "density", "within"), DENSITIES)
def test_densities(outline: Outline, density: float, within: float) -> None:
    found = densest(outline)
    assert found == pytest.approx(density, abs=within)
    assert found <= 1.0 + 1e-6


ROOMS = {
    "disc": WorkArea(Outline.of([(0, 125, 1), (250, 125, 1)])),
    "L": WorkArea(
        Outline.of([(0, 0), (250, 0), (250, 100), (120, 100), (120, 250), (0, 250)]),
    ),
    "hollow side": WorkArea(Outline.of([(0, 0), (250, 0), (250, 200, -0.2), (0, 200)])),
    "keep-out": WorkArea(
        Outline.of([(0, 0), (250, 0), (250, 200), (0, 200)]),
        (Outline.of([(100, 100, 1), (130, 100, 1)]),),
    ),
}
PIECES = {"A": regular(6), "B": regular(5), "C": Outline.of([(0, 0, -0.2), (40, 0), (20, 30)])}


#: Each area with a piece, and each piece with an area; the rest is a long run.
ROOMS_AND_PIECES = [
    pytest.param(name, piece, marks=() if (row + column) % 3 == 0 else pytest.mark.long)
    for row, name in enumerate(sorted(ROOMS))
    for column, piece in enumerate(sorted(PIECES))
]


@pytest.mark.parametrize(("name", "piece"), ROOMS_AND_PIECES)
def test_work_areas_of_any_shape(name: str, piece: str) -> None:
    item = Item(piece, PIECES[piece], 500)
    layout = lay_out([item], ROOMS[name], gap=1.0)
    assert check_load(PIECES, layout.loads[0], ROOMS[name], 1.0) == []
    assert layout.utilisation[0] > 0.5
    assert sum(len(load.placements) * load.repeats for load in layout.loads) == 500


def test_the_check_sees_a_piece_in_a_keep_out_and_over_a_round_edge() -> None:
    load = lay_out([Item("A", PIECES["A"], 500)], WorkArea.rectangle(0, 0, 250, 200), gap=1.0)
    full = Load(load.loads[0].placements)
    assert check_load(PIECES, full, ROOMS["keep-out"], 1.0) != []
    assert check_load(PIECES, full, ROOMS["disc"], 1.0) != []


def test_a_piece_too_large_for_a_disc_is_named() -> None:
    # derived: a square of side s fits a disc of diameter d when s * sqrt 2 <= d
    square = Outline.of([(0, 0), (200, 0), (200, 200), (0, 200)])
    with pytest.raises(DoesNotFit) as caught:
        lay_out([Item("big", square, 1)], ROOMS["disc"], gap=0.0)
    assert caught.value.piece == "big"
    assert caught.value.largest_scale == pytest.approx(250 / math.sqrt(2) / 200, rel=1e-3)


@pytest.mark.long
def test_kinds_share_their_last_load() -> None:
    items = [Item("A", PIECES["A"], 5), Item("B", PIECES["B"], 7), Item("C", PIECES["C"], 4)]
    room = WorkArea.rectangle(5, 5, 250, 200)
    layout = lay_out(items, room, gap=1.0)
    assert [dict(load.outlines) for load in layout.loads] == [{"A": 5, "B": 7, "C": 4}]
    assert check_load(PIECES, layout.loads[0], room, 1.0) == []


def test_whole_sets_on_each_load() -> None:
    items = [Item("A", PIECES["A"], 40), Item("B", PIECES["B"], 20)]
    room = WorkArea.rectangle(0, 0, 250, 200)
    layout = lay_out(items, room, gap=1.0, sets=True)
    made = {"A": 0, "B": 0}
    for load in layout.loads:
        assert load.outlines["A"] == 2 * load.outlines["B"]
        assert check_load(PIECES, load, room, 1.0) == []
        for piece, count in load.outlines.items():
            made[piece] += count * load.repeats
    assert made == {"A": 40, "B": 20}


def test_roll_stock_is_as_short_as_squares_can_be() -> None:
    # derived: 5 squares of 48 mm and 4 gaps of 2 mm across 250 mm; 12 rows, 11 gaps
    square = Outline.of([(0, 0), (48, 0), (48, 48), (0, 48)])
    roll = WorkArea(WorkArea.rectangle(0, 0, 100, 250).boundary, (), open_right=True)
    layout = lay_out([Item("A", square, 60)], roll, gap=2.0)
    (load,) = layout.loads
    assert len(load.placements) == 60
    assert check_load({"A": square}, load, roll, 2.0) == []
    end = max(each.move.outline(square).bounds.right for each in load.placements)
    assert end == pytest.approx(12 * 48 + 11 * 2, abs=1e-4)


def test_mirror_images_only_where_allowed() -> None:
    handed = Outline.of([(0, 0), (60, 0), (60, 10), (20, 10), (20, 30), (0, 30)])
    room = WorkArea.rectangle(0, 0, 200, 150)
    for mirror in (False, True):
        layout = lay_out([Item("A", handed, 12, "fixed", mirror)], room, gap=0.5)
        assert check_load({"A": handed}, layout.loads[0], room, 0.5) == []
        if not mirror:
            assert not any(each.move.mirrored for each in layout.loads[0].placements)


def test_past_the_deadline_the_best_so_far_comes_back() -> None:
    room = WorkArea.rectangle(0, 0, 250, 200)
    items = [Item("A", PIECES["A"], 40), Item("B", PIECES["B"], 20)]
    layout = lay_out(items, room, gap=1.0, should_stop=lambda: True)
    assert not layout.complete
    assert sum(len(load.placements) * load.repeats for load in layout.loads) == 60
    for load in layout.loads:
        assert check_load(PIECES, load, room, 1.0) == []


def test_the_same_order_gives_the_same_layout() -> None:
    items = [Item(piece, outline, 9) for piece, outline in PIECES.items()]
    once = lay_out(items, ROOMS["disc"], gap=1.0, seed=4)
    assert lay_out(items, ROOMS["disc"], gap=1.0, seed=4) == once


def test_offcuts_lie_free_of_pieces() -> None:
    room = WorkArea.rectangle(5, 7, 250, 200)
    layout = lay_out([Item("A", PIECES["A"], 6)], room, gap=1.0)
    assert layout.offcuts
    for offcut in layout.offcuts:
        assert offcut.x + offcut.width <= room.bounds.right + 1e-6
        assert offcut.y + offcut.height <= room.bounds.top + 1e-6
        for each in layout.loads[offcut.load].placements:
            box = each.move.outline(PIECES["A"]).bounds
            beside = box.right <= offcut.x + 1e-6 or box.left >= offcut.x + offcut.width - 1e-6
            above = box.top <= offcut.y + 1e-6 or box.bottom >= offcut.y + offcut.height - 1e-6
            assert beside or above
