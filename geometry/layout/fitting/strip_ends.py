"""The order in which pieces end, seen from each side of a room: which of them a strip holds."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from geometry.layout.fitting.bottom_left import Placed, Side
from geometry.model.segments import Bounds


def _box(each: Placed) -> Bounds:
    box = each.variant.outline.bounds
    return Bounds(box.left + each.x, box.bottom + each.y, box.right + each.x, box.top + each.y)


def _end(value: float, across: float) -> tuple[float, float]:
    return round(value, 6), round(across, 6)


#: The order in which pieces end, seen from each side.
ENDS: Final[dict[Side, Callable[[Placed], tuple[float, float]]]] = {
    Side.LEFT: lambda each: _end(_box(each).right, each.y),
    Side.BOTTOM: lambda each: _end(_box(each).top, each.x),
    Side.RIGHT: lambda each: _end(-_box(each).left, each.y),
    Side.TOP: lambda each: _end(-_box(each).bottom, each.x),
}
