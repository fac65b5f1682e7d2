"""A die's block by hand: every press takes material as large as the block."""

from __future__ import annotations

import pytest

from geometry.layout import Item
from geometry.layout.objective import placement_bounds
from geometry.model.cutter import WorkArea
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out_dies

BED = WorkArea.rectangle(0.0, 0.0, 300.0, 250.0)


@pytest.mark.parametrize(
    ("kind", "size", "count", "most"),
    [
        # Five in a row and one above would take 262 x 103 mm; 3 over 3 take 156 x 103.
        ("square", {"side": 50.0}, 6, 156.0 * 103.0),
        # 3 x 3, or as much in another way.
        ("square", {"side": 50.0}, 9, 156.0 * 156.0),
        # Turned in turn six are 3 1/2 sides long and one height high; with the gap of 3 mm each
        # pitch is 25 + 2 sqrt(3) = 28.46 mm: 5 x 28.46 + 50 = 192.3 x 43.3 mm.
        ("triangle", {"side": 50.0}, 6, 192.4 * 43.4),
    ],
)
def test_one_kind_on_the_least_block(
    kind: str, size: dict[str, float | int | str], count: int, most: float
) -> None:
    outline = build(kind, size)
    (load,) = lay_out_dies([Item("A", outline, count)], BED, gap=3.0).loads
    assert (load.repeats, load.outlines) == (1, {"A": count})
    assert check_load({"A": outline}, load, BED, 3.0) == []
    box = placement_bounds(load.placements, {"A": outline})
    assert box.width * box.height <= most + 1.0
    assert min(box.left, box.bottom) == pytest.approx(0.0, abs=1e-3)


def test_two_kinds_on_a_small_block() -> None:
    """A column of 3 squares of 50 mm and one of 6 of 30 mm, 3 mm apart, are 83 x 195 mm.

    The column of small ones is 6 x 30 + 5 x 3 = 195 mm high, that of large ones 156.
    """
    outlines = {"A": build("square", {"side": 50.0}), "B": build("square", {"side": 30.0})}
    items = [Item("A", outlines["A"], 3), Item("B", outlines["B"], 6)]
    (load,) = lay_out_dies(items, BED, gap=3.0).loads
    assert load.outlines == {"A": 3, "B": 6}
    assert check_load(outlines, load, BED, 3.0) == []
    box = placement_bounds(load.placements, outlines)
    assert box.width * box.height <= 83.0 * 195.0 + 1.0
