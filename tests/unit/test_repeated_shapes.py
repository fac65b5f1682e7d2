"""Chords and boxes of repeated shapes are those of each stroke by itself."""

from __future__ import annotations

import math

import numpy as np
import pytest

from adapters.repeated_shapes import RepeatedShapes
from adapters.split import chords
from geometry.model.outline import Vertex
from geometry.model.plan import Stroke
from geometry.model.segments import Bounds


def _strokes() -> list[Stroke]:
    """Return one shape at nine places, in three turns, and one whose arc bulges otherwise."""
    corners = [(0.0, 0.0, 0.3), (30.0, 4.0, 0.0), (22.0, 25.0, -0.2)]
    made = []
    for number in range(9):
        turn = complex(math.cos(number // 3), math.sin(number // 3))
        at = [complex(x, y) * turn + complex(100.0 / 3.0 * number, 7.0) for x, y, _ in corners]
        rows = zip(at, corners, strict=True)
        made.append(Stroke("cut", tuple(Vertex(p.real, p.imag, c[2]) for p, c in rows), True))
    start, *rest = made[0].vertices
    made.append(Stroke("cut", (start._replace(bulge=0.1), *rest), True))
    made.append(Stroke("cut", made[0].vertices, False))
    return made


def test_chords_are_those_of_each_stroke() -> None:
    strokes = _strokes()
    for stroke, row in zip(strokes, RepeatedShapes(strokes).chord_rows(0.01), strict=True):
        assert np.abs(row - np.array(chords(stroke, 0.01))).max() < 1e-8


def test_boxes_are_those_of_each_stroke() -> None:
    strokes = _strokes()
    for stroke, box in zip(strokes, RepeatedShapes(strokes).boxes(), strict=True):
        alone = Bounds.around(part.bounds() for part in stroke.segments)
        assert tuple(box) == pytest.approx(tuple(alone), abs=1e-8)


def test_a_shape_is_made_once_wherever_it_lies() -> None:
    """Nine strokes are one shape in three turns; another arc and an open path are two more."""
    made: list[Stroke] = []

    def make(stroke: Stroke) -> int:
        made.append(stroke)
        return len(made)

    numbers = RepeatedShapes(_strokes()).each(make)
    assert numbers == [1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 5]
    assert all(stroke.vertices[0][:2] == (0, 0) for stroke in made)
    above = Stroke("cut", tuple(v._replace(y=v.y + 2.0) for v in made[0].vertices), True)
    assert RepeatedShapes([made[0], above]).each(make) == [6, 6]
