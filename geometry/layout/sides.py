"""A rectangle as it is, or laid on its side for rows that stand up.

Upright rows are made lying, along the rectangle's height, and turned a quarter back into it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from geometry.model.cutter import WorkArea
from geometry.model.transform import Rigid


def size_of(room: WorkArea, *, upright: bool) -> tuple[float, float]:
    """Return the width and height that rows are made in, mm."""
    box = room.bounds
    return (box.height, box.width) if upright else (box.width, box.height)


def sizes_of(room: WorkArea, uprights: Sequence[bool]) -> NDArray[np.float64]:
    """Return the widths and heights, a line for each, that many rows are made in, mm."""
    both = np.array([size_of(room, upright=upright) for upright in (False, True)])
    sizes: NDArray[np.float64] = both[np.array(uprights, dtype=np.int64)]
    return sizes


def moved_into(move: Rigid, room: WorkArea, *, upright: bool) -> Rigid:
    """Return where a piece lies in a rectangle whose rows were made from 0, 0 on."""
    box = room.bounds
    if upright:
        turn_deg = (move.turn_deg - 90.0) % 360.0
        return Rigid(turn_deg, box.left + move.y, box.top - move.x)
    return Rigid(move.turn_deg, box.left + move.x, box.bottom + move.y)
