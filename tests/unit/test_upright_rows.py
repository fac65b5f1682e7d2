"""Rows that are made lying and turned into a standing rectangle, by hand.

A room from (10, 20) to (110, 320): 100 wide, 300 high. Upright rows are made 300 wide and 100 high,
and turned clockwise by a quarter: what lies at x from the start lies x below the top.
"""

from __future__ import annotations

import pytest

from geometry.layout.sides import moved_into, size_of
from geometry.model.cutter import WorkArea
from geometry.model.points import Point
from geometry.model.transform import Rigid

ROOM = WorkArea.rectangle(10.0, 20.0, 100.0, 300.0)


def test_sizes() -> None:
    assert size_of(ROOM, upright=False) == (100.0, 300.0)
    assert size_of(ROOM, upright=True) == (300.0, 100.0)


@pytest.mark.parametrize(
    ("place", "lying", "standing"),
    [
        (Point(0.0, 0.0), (10.0, 20.0), (10.0, 320.0)),
        (Point(300.0, 0.0), (310.0, 20.0), (10.0, 20.0)),
        (Point(300.0, 100.0), (310.0, 120.0), (110.0, 20.0)),
        (Point(40.0, 30.0), (50.0, 50.0), (40.0, 280.0)),
    ],
)
def test_places(place: Point, lying: tuple[float, float], standing: tuple[float, float]) -> None:
    for upright, expected in ((False, lying), (True, standing)):
        move = moved_into(Rigid(0.0, *place), ROOM, upright=upright)
        assert (move.x, move.y) == pytest.approx(expected, abs=1e-9)


def test_a_piece_turns_with_its_row() -> None:
    assert moved_into(Rigid(30.0), ROOM, upright=True).turn_deg == 300.0
    assert moved_into(Rigid(30.0), ROOM, upright=False).turn_deg == 30.0
