"""The size of a quilt along one axis: the nearest sizes of a tiling, and the one chosen."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.planning.plane import Axis

Edge: TypeAlias = Literal["whole", "trimmed", "filled"]
Fit: TypeAlias = Literal["larger", "smaller", "nearest"]

#: Lengths closer than this are equal, mm: far below the accuracy of cloth, far above rounding.
NEAR = 1e-6


@dataclass(frozen=True)
class Frame:
    """One axis of a quilt: its start and end, and the method of its two edges."""

    low: float
    high: float
    edge: Edge
    count: int

    @property
    def size(self) -> float:
        """Return the extent, mm."""
        return self.high - self.low


@dataclass(frozen=True)
class Size:
    """A number of rows or columns, and the size that they make, mm.

    ``diamonds`` is the number along the edge of a star's point, where it is another one.
    """

    count: int
    mm: float
    diamonds: int | None = None


@dataclass(frozen=True)
class NearestSizes:
    """The nearest sizes of a quilt along one axis, mm.

    Args:
        requested: the size asked for.
        smaller: the largest that is not larger; ``None`` if one row is larger.
        larger: the smallest that is not smaller.
    """

    requested: float
    smaller: Size | None
    larger: Size

    def chosen(self, fit: Fit) -> Size | None:
        """Return the size for a fit; ``None`` if there is no smaller one."""
        if fit == "larger" or (fit == "nearest" and self.smaller is None):
            return self.larger
        if fit == "smaller" or self.smaller is None:
            return self.smaller
        less, more = self.requested - self.smaller.mm, self.larger.mm - self.requested
        return self.smaller if less < more - NEAR else self.larger


def size_of(axis: Axis, count: int, edge: Edge) -> float:
    """Return the size of this many rows or columns, from outermost point to outermost point."""
    if edge == "whole":
        return axis.base + count * axis.step + 2.0 * axis.overhang
    return count * axis.cut_step


def nearest_sizes(axis: Axis, requested: float, edge: Edge) -> NearestSizes:
    """Return the nearest sizes along an axis; a trimmed edge makes every size."""
    one, step = size_of(axis, 1, edge), axis.step if edge == "whole" else axis.cut_step
    count = 1 + max(0, math.ceil((requested - one - NEAR) / step))
    if edge == "trimmed":
        return NearestSizes(requested, Size(count, requested), Size(count, requested))
    larger = Size(count, size_of(axis, count, edge))
    if larger.mm <= requested + NEAR:
        return NearestSizes(requested, larger, larger)
    smaller = Size(count - 1, size_of(axis, count - 1, edge)) if count > 1 else None
    return NearestSizes(requested, smaller, larger)


def frame_of(axis: Axis, requested: float, edge: Edge, fit: Fit = "larger") -> Frame:
    """Return the frame of a quilt along one axis for the requested size, mm.

    A size below the smallest that there is becomes that one.
    """
    sizes = nearest_sizes(axis, requested, edge)
    count = (sizes.chosen(fit) or sizes.larger).count
    if edge == "whole":
        return Frame(axis.start, axis.start + axis.base + count * axis.step, edge, count)
    size = count * axis.cut_step
    if edge == "filled":
        return Frame(axis.cut_start, axis.cut_start + size, edge, count)
    over = (size - requested) / 2.0
    return Frame(axis.cut_start + over, axis.cut_start + over + requested, edge, count)
