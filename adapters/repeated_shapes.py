"""What is calculated of a stroke's shape once, wherever else on the bed it stands again.

Most strokes of a load are the outlines of a few kinds of pieces.
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

#: Decimals, mm, to which shapes are the same: far below what any machine moves.
_SAME = 9
T = TypeVar("T")


class RepeatedShapes:
    """The strokes of a plan as shapes with their places.

    Args:
        strokes: on the bed, mm.
    """

    def __init__(self, strokes: Sequence[Stroke]) -> None:
        #: The first vertex of each stroke.
        self.places = [(stroke.vertices[0].x, stroke.vertices[0].y) for stroke in strokes]
        known: dict[object, int] = {}
        self._own: list[Stroke] = []
        self._of = []
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
                own = tuple(each._replace(x=each.x - x, y=each.y - y) for each in stroke.vertices)
                self._own.append(replace(stroke, vertices=own))
            self._of.append(known[shape])

    def each(self, make: Callable[[Stroke], T]) -> list[T]:
        """Return for each stroke what is made of its shape, whose first vertex lies at 0, 0."""
        made = [make(stroke) for stroke in self._own]
        return [made[shape] for shape in self._of]

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
