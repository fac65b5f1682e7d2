"""What is calculated of a stroke's shape once, wherever else on the bed it stands again.

Most strokes of a load are the outlines of a few kinds of pieces.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from adapters.split import chords
from geometry.model.plan import Stroke
from geometry.model.segments import Bounds

#: Decimals, mm, to which shapes are the same: far below what any machine moves.
_SAME = 9


def chord_rows(strokes: Iterable[Stroke], tolerance: float) -> list[NDArray[np.float64]]:
    """Return each stroke as points.

    Shape:
        One array of rows x, y for each stroke, the closing point included.

    Units:
        mm.

    Args:
        strokes: on the bed.
        tolerance: largest distance of a chord from its stroke.
    """
    known: dict[object, NDArray[np.float64]] = {}
    rows = []
    for stroke in strokes:
        start = np.array([stroke.vertices[0].x, stroke.vertices[0].y])
        shape = _shape(stroke)
        if shape not in known:
            known[shape] = np.array(chords(stroke, tolerance), dtype=float) - start
        rows.append(known[shape] + start)
    return rows


def boxes_of(strokes: Iterable[Stroke]) -> list[Bounds]:
    """Return the box around each stroke, mm."""
    known: dict[object, Bounds] = {}
    boxes = []
    for stroke in strokes:
        x, y, _ = stroke.vertices[0]
        shape = _shape(stroke)
        if shape not in known:
            box = Bounds.around(part.bounds() for part in stroke.segments)
            known[shape] = Bounds(box.left - x, box.bottom - y, box.right - x, box.top - y)
        box = known[shape]
        boxes.append(Bounds(box.left + x, box.bottom + y, box.right + x, box.top + y))
    return boxes


def _shape(stroke: Stroke) -> object:
    """Return what equals that of the same shape elsewhere."""
    x, y, _ = stroke.vertices[0]
    return stroke.closed, tuple(
        (round(each.x - x, _SAME), round(each.y - y, _SAME), each.bulge) for each in stroke.vertices
    )
