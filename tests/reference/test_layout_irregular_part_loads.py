"""A few pieces in beds that are no rectangle take no more material than pieces put one by one.

The shares are what an earlier version of this layout took: own measurements, no published source.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from geometry.layout import Item
from geometry.layout.effort import unlimited
from geometry.layout.fitting.bottom_left import Placed, Side, add
from geometry.layout.objective import score
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out

CIRCLE = WorkArea(Outline.of([(0, 90, 1.0), (180, 90, 1.0)]))
ELL = WorkArea(Outline.of([(0, 0), (200, 0), (200, 80), (90, 80), (90, 180), (0, 180)]))


@pytest.mark.parametrize(
    ("room", "kind", "size", "count", "effort", "most"),
    [
        (ELL, "hexagon", {"side": 15.0}, 4, "quick", 0.172679),
        (ELL, "triangle", {"side": 30.0}, 4, "quick", 0.088951),
        (CIRCLE, "clamshell", {"width": 40.0}, 9, "quick", 0.576923),
        (CIRCLE, "clamshell", {"width": 40.0}, 9, "normal", 0.533230),
    ],
)
def test_no_more_material_than_before(
    room: WorkArea, kind: str, size: dict[str, Any], count: int, effort: str, most: float
) -> None:
    outline = build(kind, size)
    layout = lay_out([Item("A", outline, count)], room, gap=1.0, effort=effort)
    assert all(not check_load({"A": outline}, load, room, 1.0) for load in layout.loads)
    missing, loads, share, *_ = score(layout.loads, {"A": outline}, room, count)
    assert (missing, loads) == (0, 1)
    assert share <= most + 1e-6


@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_a_row_begins_where_the_bed_is_wide_enough(effort: str) -> None:
    """Four squares of 22 mm, 1 mm apart, in a hoop of 180 mm.

    Side by side they are 91 mm wide: their outer edge is sqrt(90^2 - 45.5^2) = 77.65 mm from the
    middle, their inner edge 55.65. The strip is a segment of the hoop, of half angle
    acos(55.65 / 90) = 0.9042: (0.9042 - sin cos) / pi = 0.1333 of it.
    """
    item = Item("S", build("square", {"side": 22.0}), 4)
    layout = lay_out([item], CIRCLE, gap=1.0, effort=effort)
    inner = math.sqrt(90.0**2 - 45.5**2) - 22.0
    half = math.acos(inner / 90.0)
    share = (half - math.sin(half) * math.cos(half)) / math.pi
    assert sum(each.share for each in layout.used) <= share + 1e-4


def test_the_first_piece_touches_the_side_it_is_put_against() -> None:
    # derived: on 180 x 90 mm a square of 20 ends 20 mm from its side, in a corner
    room = WorkArea.rectangle(0.0, 0.0, 180.0, 90.0)
    item = Item("S", build("square", {"side": 20.0}), 1)
    boxes = []
    for side in Side:
        placed: list[Placed] = []
        assert add(item, 1, room, placed, gap=0.0, turns=4, budget=unlimited(), side=side) == 1
        boxes.append(placed[0].placement.move.outline(item.outline).bounds)
    assert boxes[0].right == pytest.approx(20.0, abs=1e-3)
    assert boxes[1].top == pytest.approx(20.0, abs=1e-3)
    assert boxes[2].left == pytest.approx(160.0, abs=1e-3)
    assert boxes[3].bottom == pytest.approx(70.0, abs=1e-3)
