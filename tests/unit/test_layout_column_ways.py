"""Every way to fill a column with one kind is sound, also where a piece is slanted one way only."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from geometry.layout import Item
from geometry.layout.columns.column_ways import column_ways, natural_sizes
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load, Placement
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.short_form import short_form

_SIZES = {
    "jewel": {"side": 31.0},
    "kite": {"side": 30.0},
    "triangle": {"side": 40.0},
    "half_hexagon": {"side": 30.0},
    "diamond_45": {"side": 30.0},
    "half_square_triangle": {"side": 40.0},
    "pentagon": {"side": 30.0},
    "hexagon": {"side": 25.0},
    "circle": {"diameter": 40.0},
    "clamshell": {"width": 40.0},
}


@pytest.mark.parametrize(
    ("kind", "gap"),
    short_form(
        [*product(sorted(_SIZES), [0.0, 1.5])],
        [*product(sorted(_SIZES), [1.5]), ("triangle", 0.0), ("clamshell", 0.0)],
    ),
)
def test_ways_are_sound_and_as_high_as_they_say(kind: str, gap: float) -> None:
    # Jewels turned by 30 degrees lay on each other where every other row is moved along: the move
    # back needs more height than the move there.
    outline = build(kind, _SIZES[kind])
    item = Item("A", outline, 8)
    for width in (*sorted(set(natural_sizes(item, gap))), 63.5, 150.0):
        for way in column_ways(item, width, gap):
            for count in (2, 3, 8):
                placed = tuple(Placement("A", move) for move in way.moves(count))
                high = float(way.heights(np.array([count]))[0])
                column = WorkArea.rectangle(-1e-3, -1e-3, width - gap + 2e-3, high - gap + 2e-3)
                assert check_load({"A": outline}, Load(placed), column, gap) == []
