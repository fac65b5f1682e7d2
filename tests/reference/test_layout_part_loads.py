"""Part-filled loads beside rows worked by hand, and packings that rows alone do not reach."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest

from geometry.layout import Item, Layout
from geometry.layout.objective import cut_length, is_better, score, used_strip
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.benchmarks.part_load_cases import (
    CASES,
    MIXED,
    SHEET,
    Kind,
    by_hand,
    item_of,
)
from tests.layouts import lay_out

INCH = 25.4


def laid(item: Item, width: float, height: float, **how: object) -> Layout:
    room = WorkArea.rectangle(0.0, 0.0, width * INCH, height * INCH)
    layout = lay_out([item], room, gap=0.0, **({"effort": "quick"} | how))
    for load in layout.loads:
        assert check_load({item.piece: item.outline}, load, room, 0.0) == []
    assert sum(len(load.placements) * load.repeats for load in layout.loads) == item.quantity
    return layout


def test_forty_triangles_lie_turned_in_turn() -> None:
    """Triangles of 1 1/2 in on a sheet 12 in wide.

    In a row turned in turn n triangles are (n + 1) x 3/4 in long: 15 are 12 in. 40 take 3 rows of
    1 1/2 x sqrt(3) / 2 = 1.299 in, 3.897 in; all pointing up, 8 in a row, they take 5 rows, 6.495.
    """
    item = Item("T", build("triangle", {"side": 1.5 * INCH}), 40)
    # A long sheet: the strip along its short side is the smaller share.
    layout = laid(item, 12.0, 40.0)
    (used,) = layout.used
    assert used.right - used.left == pytest.approx(12.0 * INCH, abs=1e-3)
    assert used.top - used.bottom == pytest.approx(3 * 1.5 * math.sqrt(3) / 2 * INCH, abs=1e-3)
    assert used.share == pytest.approx(3.897 / 40.0, abs=1e-4)
    assert used.rest is not None
    assert used.rest[3] == pytest.approx((40.0 - 3.897) * INCH, abs=0.1)


def test_a_honeycomb_stays_whole() -> None:
    """28 hexagons of 1 in on 12 x 18 in, edges cut once.

    7 columns of 4 have 28 x 6 = 168 edges less those between neighbours; the shortest strip has
    105 in of edges, the most compact honeycomb 103: at most 108 are cut.
    """
    item = Item("H", build("hexagon", {"side": INCH}), 28)
    layout = laid(item, 12.0, 18.0, common_line=True)
    (load,) = layout.loads
    assert cut_length(load.placements, {"H": item.outline}) / INCH <= 108.0 + 1e-3
    # derived: rows across 12 in hold 6.93 hexagons of sqrt 3 in; 3 rows of 10 and less along 18 in
    # are 2 + 2 x 1.5 = 5 in: 5/12 of the sheet
    assert layout.used[0].share == pytest.approx(5.0 / 12.0, abs=1e-4)


@pytest.mark.parametrize(
    ("kind", "size", "count"),
    [(kind, size, count) for kind, size, counts in CASES for count in counts[1::2]],
)
def test_no_more_material_than_rows_by_hand(kind: str, size: float, count: int) -> None:
    layout = laid(item_of(kind, size, count), *SHEET)
    share = sum(each.share * load.repeats
                for each, load in zip(layout.used, layout.loads, strict=True))  # fmt: skip
    assert share <= by_hand([(kind, size, count)], *SHEET) + 1e-6


@pytest.mark.parametrize("kinds", MIXED)
def test_kinds_take_no_more_material_than_a_strip_of_rows_for_each(kinds: Sequence[Kind]) -> None:
    items = [item_of(*kind) for kind in kinds]
    room = WorkArea.rectangle(0.0, 0.0, *(INCH * side for side in SHEET))
    layout = lay_out(items, room, gap=0.0, effort="quick")
    outlines = {each.piece: each.outline for each in items}
    assert not any(check_load(outlines, load, room, 0.0) for load in layout.loads)
    share = sum(each.share * load.repeats
                for each, load in zip(layout.used, layout.loads, strict=True))  # fmt: skip
    assert share <= by_hand(kinds, *SHEET) + 1e-6


def test_rows_by_hand_are_what_the_docstring_says() -> None:
    # derived: 12 in hold 15 triangles of 1 1/2 in: 3 rows for 40, of 18 in; along 18 in 23: 2 rows
    assert by_hand([("triangle", 1.5, 40)], 12, 18) == pytest.approx(2 * 1.299038 / 12, abs=1e-6)
    # derived: 20 squares of 2 in: 9 in 18 in, 3 rows of 2 in of 12; 6 in 12 in, 4 rows of 18: 8/18
    assert by_hand([("square", 2.0, 20)], 12, 18) == pytest.approx(8 / 18)
    # derived: circles of 2 in on 12 in: 6, 5, 6, 5 make 22 in 4 rows, 2 + 3 sqrt 3 of 18 in; on
    # 18 in 9, 8, 9 make 26 in 3 rows, 2 + 2 sqrt 3 = 5.464 of 12
    assert by_hand([("circle", 2.0, 19)], 12, 18) == pytest.approx((2 + 3 * math.sqrt(3)) / 18)


def test_rows_of_several_kinds_are_added() -> None:
    # derived: on 12 in two rows of 8 squares, 3 in, and two of 15 triangles, 2.598: 5.598 of 18,
    # 0.3110. On 18 in one row of 12 squares, 1.5, and 13 rows of two triangles beside each other,
    # 3 x 3/4 = 2.25 in long: 3.75 of 12, 0.3125
    kinds = [("square", 1.5, 12), ("triangle", 1.5, 24)]
    assert by_hand(kinds, 12, 18) == pytest.approx((2 * 1.5 + 2 * 1.299038) / 18, abs=1e-6)
    # derived: 4 hexagons of 1 in lie on an edge in a row, 8 in long and 1.732 high; 14 half squares
    # are 7 squares in a row: 2.732 of 18 in. Along 18 in the same: 2.732 of 12
    kinds = [("hexagon", 1.0, 4), ("half_square_triangle", 1.0, 14)]
    assert by_hand(kinds, 12, 18) == pytest.approx((math.sqrt(3) + 1) / 18)


def test_full_loads_and_the_rest_of_the_last() -> None:
    """100 squares of 2 in on 12 x 18 in: 54 per load, so 2 loads; 46 are left for the second.

    Rows of 6 across 12 in: 46 take 8 rows, 16/18 = 0.8889; rows of 9 along 18 in: 6 rows, 1.0.
    Evenly filled, 50 and 50, each takes 9 rows of 6: no less. Material: 1 + 0.8889.
    """
    item = Item("S", build("square", {"side": 2 * INCH}), 100)
    layout = laid(item, 12.0, 18.0)
    shares = [each.share * load.repeats
              for each, load in zip(layout.used, layout.loads, strict=True)]  # fmt: skip
    assert sum(load.repeats for load in layout.loads) == 2
    assert sum(shares) == pytest.approx(1.0 + 16 / 18, abs=1e-6)


def test_grain_that_allows_half_turns_still_turns_in_turn() -> None:
    # derived: as above, 15 in a row of 12 in; the base may lie along x only
    item = Item("T", build("triangle", {"side": 1.5 * INCH}), 40, "half-turn")
    layout = laid(item, 12.0, 40.0)
    assert layout.used[0].top / INCH == pytest.approx(3.897, abs=1e-3)
    fixed = Item("T", build("triangle", {"side": 1.5 * INCH}), 40, "fixed")
    assert {each.move.turn_deg for each in laid(fixed, 12.0, 40.0).loads[0].placements} == {0.0}


SQUARE = Outline.of([(0, 0), (10, 0), (10, 10), (0, 10)])


def placed(*places: tuple[float, float]) -> tuple[Placement, ...]:
    return tuple(Placement("A", Rigid(0.0, x, y)) for x, y in places)


def test_the_objective_in_its_order() -> None:
    """On a sheet of 100 x 50 mm: missing, loads, material, different loads, then the cut.

    One square in the corner uses 10 x 50 = 500 mm2 along the left side, and 100 x 10 = 1000 along
    the lower one: the left strip leaves more, 0.1 of the sheet.
    """
    room, outlines = WorkArea.rectangle(0, 0, 100, 50), {"A": SQUARE}
    one = used_strip(placed((0, 0)), outlines, room)
    assert (one.right, one.top, one.area, one.share) == (10.0, 50.0, 500.0, 0.1)
    # From the right, where that is the nearer side.
    right = used_strip(placed((90, 0)), outlines, room)
    assert (right.left, right.right) == (90.0, 100.0)
    beside = score([Load(placed((0, 0), (10, 0)))], outlines, room, 2, outlines)
    above = score([Load(placed((0, 0), (0, 10)))], outlines, room, 2, outlines)
    apart = score([Load(placed((0, 0), (0, 40)))], outlines, room, 2, outlines)
    twice = score([Load(placed((0, 0)), 2)], outlines, room, 2, outlines)
    short = score([Load(placed((0, 0)))], outlines, room, 2, outlines)
    assert is_better(above, beside)
    assert is_better(above, apart)
    # derived: one edge of 10 mm in common: 80 - 10
    assert [above[4], apart[4]] == pytest.approx([70.0, 80.0], abs=1e-6)
    assert is_better(beside, twice)
    assert is_better(twice, short)
    assert not is_better(above, above)
