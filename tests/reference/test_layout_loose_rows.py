"""Part-filled loads in rows that use a strip's width to its end, worked by hand.

A hexagon of side s on an edge is 2 s wide and sqrt(3) s high. Another one d to the side of it, s to
2 s, lies sqrt(3) (2 s - d) higher: they touch along a slanted edge.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.layout import Item, Layout
from geometry.layout.effort import unlimited
from geometry.layout.fitting.fit import fitting_turn
from geometry.layout.fitting.overlap_removal import BRIEF, THOROUGH, parted
from geometry.layout.rows.loose_rows import loose_rows
from geometry.layout.rows.row_patterns import shape_of
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.benchmarks.layout_cases import SHAPES, patch
from tests.benchmarks.part_load_cases import SHEET, item_of
from tests.layouts import lay_out

INCH = 25.4
ROOT = math.sqrt(3.0)


def share_of(item: Item, gap: float = 0.0, **how: object) -> float:
    width, height = SHEET
    room = WorkArea.rectangle(0.0, 0.0, width * INCH, height * INCH)
    layout: Layout = lay_out([item], room, gap=gap, **({"effort": "quick"} | how))
    (load,) = layout.loads
    assert len(load.placements) == item.quantity
    assert check_load({item.piece: item.outline}, load, room, gap) == []
    return layout.used[0].share


def test_a_row_holds_one_more_when_every_other_piece_is_raised() -> None:
    """7 hexagons of 1 in across 12 in: 6 are 12 in wide on their edges, in a straight row.

    The outer two lie at the sides, (12 - 2) / 6 = 5/3 in apart each, so that every other one is
    raised by sqrt(3) / 3 in: sqrt(3) x 4/3 = 2.309 in of 18.
    """
    share = share_of(item_of("hexagon", 1.0, 7))
    assert share == pytest.approx(ROOT * 4.0 / 3.0 / 18.0, abs=1e-4)


def test_a_row_moved_along_as_far_as_there_is_room_lies_lower() -> None:
    """40 hexagons of 1 in along 18 in, in 4 rows of 10, every other row moved along.

    10 hexagons are 10 sqrt(3) = 17.3205 in; 0.6795 in are left to move along, by which the slanted
    edges let the next row lie 0.6795 / sqrt(3) = 0.3923 in lower than 2 in: 2 + 3 x 1.6077 =
    6.8231 in of 12. In 10 rows of 4 across 12 in they take 10.639 in of 18, which is more.
    """
    share = share_of(item_of("hexagon", 1.0, 40))
    assert share == pytest.approx((2.0 + 3.0 * (2.0 - (18.0 / ROOT - 10.0))) / 12.0, abs=1e-4)


@pytest.mark.parametrize(
    ("kind", "size", "count", "most"),
    [
        ("hexagon", 1.0, 15, 0.2594),
        ("diamond_60", 1.5, 24, 0.2815),
        ("hexagon", 1.0, 7, 0.1316),
        ("circle", 2.0, 19, 0.3829),
    ],
)
def test_no_more_material_than_the_nester_alone(
    kind: str, size: float, count: int, most: float
) -> None:
    # What the nester alone finds in 1000 of its steps for each side: own measurement, in
    # tests/benchmarks/PART_LOADS.md.
    assert share_of(item_of(kind, size, count)) <= most + 5e-5


@pytest.mark.parametrize("kind", sorted(set(SHAPES) - {"apple_core", "clamshell"}))
def test_loose_rows_keep_the_gap(kind: str) -> None:
    # Slanted pieces reach past their neighbours in a row.
    item = Item(kind, patch(kind), 17)
    room = WorkArea.rectangle(0.0, 0.0, 12.0 * INCH, 12.0 * INCH)
    layout = lay_out([item], room, gap=1.0, effort="quick")
    for load in layout.loads:
        assert check_load({kind: item.outline}, load, room, 1.0) == []


def test_slanted_pieces_use_the_width_to_its_end() -> None:
    """6 diamonds of 45 degrees, sides of 2 in, across 12 in: lying flat they are 13.41 in long.

    Turned by t each is 2 (cos t + cos(t + 45)) wide and 2 (sin t + sin(t + 45)) high. The next one
    lies 2 / (cos t + sin t) along, where their sides touch (cot 45 = 1). At 8.3 degrees six are
    12 in long.
    """

    def length(t: float) -> float:
        wide = 2.0 * (math.cos(t) + math.cos(t + math.pi / 4.0))
        return 5.0 * 2.0 / (math.cos(t) + math.sin(t)) + wide

    flat, turned = 0.0, math.radians(20.0)
    for _ in range(60):
        middle = (flat + turned) / 2.0
        flat, turned = (flat, middle) if length(middle) < 12.0 else (middle, turned)
    assert math.degrees(turned) == pytest.approx(8.3, abs=0.1)
    high = 2.0 * (math.sin(turned) + math.sin(turned + math.pi / 4.0))
    share = share_of(item_of("diamond_45", 2.0, 6))
    # The turns that are tried are a hundredth of a degree apart.
    assert share == pytest.approx(high / 18.0, abs=5e-5)
    # derived: flat they need the long side of the sheet, and sqrt(2) of 12 in of the other
    assert share < math.sqrt(2.0) / 12.0


def test_grain_is_kept_in_loose_rows() -> None:
    item = item_of("diamond_45", 2.0, 6)
    fixed = Item("D", item.outline, 6, "half-turn")
    room = WorkArea.rectangle(0.0, 0.0, 12.0 * INCH, 18.0 * INCH)
    (load,) = lay_out([fixed], room, gap=0.0, effort="normal").loads
    assert {each.move.turn_deg % 180.0 for each in load.placements} == {0.0}


def test_loose_rows_of_a_strip_that_is_too_narrow() -> None:
    item = item_of("square", 2.0, 9)
    shape = shape_of(item.outline, 0.0)
    turn = fitting_turn(item, WorkArea.rectangle(0.0, 0.0, 300.0, 300.0))
    assert loose_rows(shape, turn, 2.0 * INCH, 9, half_turns=True) == ()
    # A row of more than so many is left as it is.
    assert loose_rows(shape, turn, 400.0, 1000, half_turns=True) == ()


def test_pieces_that_do_not_go_are_given_up() -> None:
    square = Outline.of([(0, 0), (10, 0), (10, 10), (0, 10)])
    start = np.array([(0.0, 0.0), (1.0, 3.0)])
    for limits in (BRIEF, THOROUGH):
        # derived: a strip 9 mm wide holds no square of 10 mm; 19 x 11 not two of them
        for size in ((30.0, 9.0), (19.0, 11.0)):
            assert (
                parted(square, [0.0, 0.0], start, size, gap=0.0, budget=unlimited(), limits=limits)
                is None
            )


def test_edges_cut_once_stay_edge_to_edge() -> None:
    # derived: 7 hexagons that touch along whole edges: 7 columns are 11 in wide and 3/2 sqrt(3)
    # in high, or less along 18 in; none is spread to the sides
    item = Item("H", build("hexagon", {"side": INCH}), 7)
    assert share_of(item, common_line=True) >= share_of(item) + 1e-3
