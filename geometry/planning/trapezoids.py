"""Trapezoids with two right angles: two share a rectangle of fabric, parted by a slanted cut.

Source:
    Two pieces turned half round against each other make a rectangle: common practice, no source.
    The sizes are derived.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from geometry.model.outline import Outline

#: Tolerance of corners, mm.
_NEAR = 1e-6
_CORNERS = 4


class TrapezoidPair(NamedTuple):
    """A rectangle of two trapezoids, mm, and the corners of the one at its lower left corner."""

    width: float
    length: float
    first: tuple[tuple[float, float], ...]


def trapezoid_pair(outline: Outline, allowance: float) -> TrapezoidPair | None:
    """Return the rectangle that two equal trapezoids share; ``None`` for other outlines.

    Beside the distance h of the parallel sides p and q, the slanted side leans by t = (p - q) / h.
    An allowance a makes h longer by 2 a, p by a (1 + sqrt(1 + t^2) + t), and q by
    a (1 + sqrt(1 + t^2) - t). The rectangle is as long as both.

    Args:
        outline: the finished piece, three of its sides along or across the grain.
        allowance: of its seams, the same all round, mm.
    """
    if outline.has_arcs or len(outline.vertices) != _CORNERS:
        return None
    box = outline.bounds
    points = [(each.x - box.left, each.y - box.bottom) for each in outline.vertices]
    lying = _across(points, box.width, box.height, allowance)
    if lying is not None:
        return TrapezoidPair(*lying)
    swapped = _across([(y, x) for x, y in points], box.height, box.width, allowance)
    if swapped is None:
        return None
    width, length, first = swapped
    return TrapezoidPair(length, width, tuple((y, x) for x, y in first))


def _across(
    points: list[tuple[float, float]], width: float, length: float, allowance: float
) -> tuple[float, float, tuple[tuple[float, float], ...]] | None:
    """Return the rectangle, and a piece in it, of a trapezoid whose parallel sides are upright."""
    left = sorted(y for x, y in points if abs(x) <= _NEAR)
    right = sorted(y for x, y in points if abs(x - width) <= _NEAR)
    if len(left) != 2 or len(right) != 2:  # noqa: PLR2004 - both ends of a side
        return None
    heights = left[1] - left[0], right[1] - right[0]
    level_below = max(left[0], right[0]) <= _NEAR
    level_above = min(left[1], right[1]) >= length - _NEAR
    if level_below == level_above:
        return None
    if level_above:
        # Turned half round it stands on its level side.
        heights = heights[::-1]
    lean = (heights[0] - heights[1]) / width
    slanted = math.hypot(1.0, lean)
    here = heights[0] + allowance * (1.0 + slanted + lean)
    there = heights[1] + allowance * (1.0 + slanted - lean)
    if min(here, there) <= _NEAR:
        return None
    across = width + 2.0 * allowance
    return across, here + there, ((0.0, 0.0), (across, 0.0), (across, there), (0.0, here))
