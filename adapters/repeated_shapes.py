"""Calculations that are made once for strokes of the same shape, wherever on the bed they lie.

Most strokes of a load are outlines of a few kinds of pieces, so this saves most of the work.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from adapters.split import chords
from geometry.model.plan import Stroke
from geometry.model.segments import Bounds

#: Decimals, mm, to which coordinates of equal shapes agree: far below what any machine can move.
_SAME = 9
T = TypeVar("T")


class RepeatedShapes:
    """The strokes of a plan, each as one of their shapes and its place.

    Args:
        strokes: on the bed, mm.
    """

    def __init__(self, strokes: Sequence[Stroke]) -> None:
        #: The first vertex of each stroke.
        self.places = [(stroke.vertices[0].x, stroke.vertices[0].y) for stroke in strokes]
        known: dict[object, int] = {}
        self._shapes: list[Stroke] = []
        self._shape_numbers = []
        for stroke, (x, y) in zip(strokes, self.places, strict=True):
            shape = (
                stroke.closed,
                tuple(
                    (round(each.x - x, _SAME), round(each.y - y, _SAME), each.bulge)
                    for each in stroke.vertices
                ),
            )
            if shape not in known:
                known[shape] = len(known)
                moved = tuple(each._replace(x=each.x - x, y=each.y - y) for each in stroke.vertices)
                self._shapes.append(replace(stroke, vertices=moved))
            self._shape_numbers.append(known[shape])

    def each(self, make: Callable[[Stroke], T]) -> list[T]:
        """Return for each stroke the result of ``make`` for its shape, moved to begin at 0, 0."""
        made = [make(stroke) for stroke in self._shapes]
        return [made[shape] for shape in self._shape_numbers]

    def chord_rows(self, tolerance: float) -> list[NDArray[np.float64]]:
        """Return each stroke as rows x, y, mm, the closing point included.

        Args:
            tolerance: largest distance of a chord from its stroke, mm.
        """
        rows = self.each(lambda stroke: np.array(chords(stroke, tolerance), dtype=float))
        return [row + np.array(place) for row, place in zip(rows, self.places, strict=True)]

    def boxes(self) -> list[Bounds]:
        """Return the box around each stroke, mm."""
        boxes = self.each(lambda stroke: Bounds.around(part.bounds() for part in stroke.segments))
        return [
            Bounds(box.left + x, box.bottom + y, box.right + x, box.top + y)
            for box, (x, y) in zip(boxes, self.places, strict=True)
        ]
