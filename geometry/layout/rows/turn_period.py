"""How far an outline may be turned until it looks the same again."""

from __future__ import annotations

import cmath
import math
from functools import lru_cache
from typing import Final

import numpy as np

from geometry.model.outline import Outline

#: Corners and bulges that differ by less are the same.
_SAME: Final = 1.0e-6


@lru_cache(maxsize=256)
def turn_period(outline: Outline) -> float:
    """Return the least turn after which an outline covers itself, up to a move, degrees."""
    corners = np.array([complex(each.x, each.y) for each in outline.vertices])
    bulges = np.array([each.bulge for each in outline.vertices])
    corners -= corners.mean()
    count = len(corners)
    for parts in range(count, 1, -1):
        step, rest = divmod(count, parts)
        if rest:
            continue
        following = np.roll(corners, -step) * cmath.rect(1.0, -math.tau / parts)
        apart = np.abs(following - corners).max(), np.abs(np.roll(bulges, -step) - bulges).max()
        if max(apart) < _SAME:
            return 360.0 / parts
    return 360.0
