"""Which outline lies inside which."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

import numpy as np

from geometry import polygons
from geometry.inspection.likeness import ALIKE
from geometry.inspection.work import StepBudget
from geometry.measure import area
from geometry.model.outline import Outline

#: Chord tolerance of outlines as polygons, and how far one may stand out of another, mm.
_CHORD, _TOUCHING = 0.02, 0.05


def find_holders(outlines: Sequence[Outline], work: StepBudget) -> list[int | None]:
    """Return for each outline the smallest one that contains it.

    An outline that only shares an edge with another lies beside it, not inside.
    """
    if not outlines:
        return []
    shapes = np.array([polygons.flattened_polygon(each, _CHORD) for each in outlines])
    areas = np.array([area(each) for each in outlines])
    boxes = polygons.bounds(shapes)

    @cache
    def widened(number: int) -> Any:  # noqa: ANN401 - shapely's
        shape = shapes[number].buffer(_TOUCHING)
        polygons.prepare(shape)
        return shape

    inner, outer = polygons.STRtree(shapes).query(
        polygons.point_on_surface(shapes), predicate="intersects"
    )
    is_box_inside = (boxes[inner, :2] >= boxes[outer, :2] - _TOUCHING).all(axis=1)
    is_box_inside &= (boxes[inner, 2:] <= boxes[outer, 2:] + _TOUCHING).all(axis=1)
    kept = is_box_inside & (areas[outer] > areas[inner] * (1.0 + ALIKE))
    candidates: list[list[int]] = [[] for _ in outlines]
    for index, number in zip(inner[kept].tolist(), outer[kept].tolist(), strict=True):
        candidates[index].append(number)
    found: list[int | None] = []
    for index, numbers in enumerate(candidates):
        holder = None
        for number in sorted(numbers, key=lambda each: (areas[each], each)):
            steps = 10 * polygons.get_num_coordinates([shapes[index], shapes[number]]).sum()
            if not work.can_do(int(steps)):
                break
            if widened(number).covers(shapes[index]):
                holder = number
                break
        found.append(holder)
    return found
