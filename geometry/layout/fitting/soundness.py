"""A check of pieces in their places before a layout uses them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry import polygons
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.fitting.inner_fit import inner_fit
from geometry.model.cutter import WorkArea
from geometry.separation import separation
from geometry.tolerance import LAYOUT_ACCURACY


def is_sound(placed: Sequence[Placed], room: WorkArea, gap: float) -> bool:
    """Return whether nothing overlaps, comes nearer than the gap or leaves the room."""
    outlines = []
    for each in placed:
        if not room.open_right:
            region = inner_fit(room, each.variant.outline)
            if not bool(polygons.intersects_xy(region, each.x, each.y)):
                return False
        outlines.append(each.placement.move.outline(each.variant.base))
    boxes = np.array(
        [
            polygons.box(o.bounds.left - gap, o.bounds.bottom - gap, o.bounds.right, o.bounds.top)
            for o in outlines
        ]
    )
    first, second = polygons.STRtree(boxes).query(boxes)
    return all(
        separation(outlines[a], outlines[b], enough=gap + 1.0) > max(gap, LAYOUT_ACCURACY)
        for a, b in zip(first.tolist(), second.tolist(), strict=True)
        if a < b
    )
