"""Pre-cut fabric: how many pieces one holds, in strips across it or along it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from geometry.errors import GeometryError
from geometry.planning.cloth import Cut, Fabric, with_spoilage
from geometry.planning.strips import fits
from geometry.planning.triangles import SharedRectangle
from geometry.planning.ways import Way, order_of, ways
from geometry.units import format_mm


@dataclass(frozen=True)
class PreCut:
    """Pre-cut fabric, mm, such as a fat quarter, a strip or a square."""

    name: str
    width: float
    length: float


@dataclass(frozen=True)
class RectangleYield:
    """What one rectangle of fabric holds of a piece: so many strips of so many."""

    per_strip: int
    strips: int
    way: Way
    lengthwise: bool

    @property
    def pieces(self) -> int:
        """Number of pieces."""
        return self.per_strip * self.strips

    @property
    def in_strips(self) -> Way:
        """The way as it looks with the strip lying level."""
        pattern = self.way.pattern
        turn = (pattern.turn_deg + (90.0 if self.lengthwise else 0.0)) % 360.0
        return replace(self.way, pattern=replace(pattern, turn_deg=turn))


@dataclass(frozen=True)
class FromPreCuts:
    """The pre-cut pieces for one size of piece; ``spare`` more pieces could be cut from them."""

    cut: Cut
    count: int
    held: RectangleYield
    needed: int
    spare: int

    @property
    def per_cut(self) -> int:
        """Pieces from one pre-cut piece."""
        return self.held.pieces

    @property
    def turned(self) -> bool:
        """Return whether pieces lie otherwise than as drawn, or half a turn from it."""
        return self.held.way.is_turned

    @property
    def shared(self) -> SharedRectangle | None:
        """The rectangle that is cut from them where pieces share one."""
        return self.held.way.shared


def held_by(cut: Cut, width: float, length: float, fabric: Fabric) -> RectangleYield | None:
    """Return the most pieces that a rectangle of fabric holds in strips, ``None`` for none."""
    found = []
    for lengthwise in (False, True):
        along, across = (length, width) if lengthwise else (width, length)
        for way in ways(cut, fabric, along, lengthwise=lengthwise):
            held = RectangleYield(
                way.count(along), fits(across, way.pattern.height), way, lengthwise
            )
            if held.pieces:
                found.append(held)
    return min(
        found, key=lambda each: (-each.pieces, *order_of(each.way), each.lengthwise), default=None
    )


def from_pre_cuts(cut: Cut, pre_cut: PreCut, fabric: Fabric, *, index: int = 0) -> FromPreCuts:
    """Return the pre-cut pieces of fabric for one size of piece.

    Raises:
        GeometryError: when a piece is larger than the pre-cut piece.
    """
    held = held_by(cut, pre_cut.width, pre_cut.length * (1.0 - fabric.shrinkage), fabric)
    if held is None:
        raise GeometryError(
            f"A piece of {format_mm(cut.width)} by {format_mm(cut.length)} mm does not fit in a "
            f"{pre_cut.name} of {format_mm(pre_cut.width)} by {format_mm(pre_cut.length)} mm.",
            where=(index,),
        )
    count = with_spoilage(cut.count, fabric.spoilage)
    needed = math.ceil(count / held.pieces)
    return FromPreCuts(cut, count, held, needed, needed * held.pieces - count)
