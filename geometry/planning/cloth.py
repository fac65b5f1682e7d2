"""Cloth, and the pieces that are cut from it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.model.outline import Outline
from geometry.planning.strips import AS_DRAWN, HALF_TURN, TurnsDeg
from geometry.planning.triangles import SharedRectangle
from geometry.units import MM_PER_INCH, round_up

#: Tolerance of counts, relative to one piece.
_NEAR = 1e-9
#: What a size may exceed a ruler's mark by rounding, mm.
_ROUNDING = 1e-6


@dataclass(frozen=True)
class Cut:
    """A cut piece including its seam allowance, mm.

    Args:
        width: across the fabric, from selvedge to selvedge.
        length: along the fabric.
        count: number needed.
        turns_deg: turns that its grain allows; ``None`` when any will do.
        shared: what several of it can be cut from, for a right triangle.
        outline: of the piece as cut; left out for a rectangle.
    """

    width: float
    length: float
    count: int
    turns_deg: TurnsDeg = HALF_TURN
    shared: SharedRectangle | None = None
    outline: Outline | None = None

    @property
    def cut_outline(self) -> Outline:
        """The outline, which is a rectangle where none is stated."""
        if self.outline is not None:
            return self.outline
        return Outline.of([(0, 0), (self.width, 0), (self.width, self.length), (0, self.length)])


@dataclass(frozen=True)
class Fabric:
    """The fabric, mm.

    Args:
        width: usable, between the selvedges.
        step: the step in which the fabric is sold.
        shrinkage: share of its length lost by washing before cutting.
        spoilage: share of additional pieces cut.
        directional: whether its print has a top, so that pieces must not be rotated.
        ruler_step: the ruler's finest mark, to which strips and rectangles are rounded up; 0 for
            sizes as they are.
    """

    width: float = 40.0 * MM_PER_INCH
    step: float = 4.5 * MM_PER_INCH
    shrinkage: float = 0.0
    spoilage: float = 0.0
    directional: bool = False
    ruler_step: float = 0.0

    def turns_deg(self, cut: Cut) -> TurnsDeg:
        """Return the turns of a piece that its grain and the print allow."""
        if not self.directional:
            return cut.turns_deg
        return AS_DRAWN if cut.turns_deg is None else cut.turns_deg[:1]

    def by_ruler(self, size: float) -> float:
        """Return a size rounded up to the ruler's next mark."""
        if self.ruler_step <= 0.0:
            return size
        return round_up(size - _ROUNDING, self.ruler_step)


def with_spoilage(count: int, spoilage: float) -> int:
    """Return the number to cut to get this many good ones."""
    return math.ceil(count * (1.0 + spoilage) - _NEAR)
