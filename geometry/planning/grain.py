"""How pieces lie on the straight grain of cloth.

Source:
    Sides on the outside of a unit or block lie on the straight grain, lengthwise or crosswise, so
    that they do not stretch: common practice, no source. So a flying goose's large triangle is a
    quarter-square triangle, and its small ones are half-square triangles. Published lists of
    cutting sizes name them so.
"""

from __future__ import annotations

import math
from typing import Literal, TypeAlias

from geometry.model.outline import Outline
from geometry.model.segments import Line
from geometry.model.transform import Rigid

#: How the pieces of a plan lie on cloth: with their sides along the block's edges on the straight
#: grain; turned in any way; or as they lie in the quilt, for a print with a top.
Grain: TypeAlias = Literal["straight", "free", "as-set"]

#: Decimals (of mm) to which sides of equal pieces agree, and of turns in degrees.
_DECIMALS = 4
#: Angle within which a side lies on the grain, degrees: blocks are drawn in rounded numbers.
_NEAR_DEG = 0.01
_QUARTERS = (0.0, 90.0, 180.0, 270.0)
#: Sides of a piece that are tried on the grain, the longest first.
_MAX_SIDES = 60


def sides_on_grain(outline: Outline, turn_deg: float = 0.0) -> tuple[float, ...]:
    """Return the lengths of straight sides that lie along or across, mm, the shortest first.

    Args:
        outline: of the piece.
        turn_deg: by which it is turned before.
    """
    return tuple(
        sorted(
            round(each.length, _DECIMALS)
            for each in _straight(outline)
            if _off_grain(_direction(each) + turn_deg) <= _NEAR_DEG
        )
    )


def straight_turns(outline: Outline, wanted: tuple[float, ...]) -> tuple[float, ...]:
    """Return the turns, degrees, in which sides of these lengths lie on the straight grain.

    A diamond has two such sides in either of two positions, and a right triangle with legs on the
    grain has one position; each can be turned by quarters.

    Args:
        outline: of the piece as it is drawn.
        wanted: lengths of its sides on the grain, as ``sides_on_grain`` returns them; with none,
            it is turned by quarters from how it is drawn.
    """
    turns = {0.0}
    if wanted:
        sides = sorted(_straight(outline), key=lambda each: -round(each.length, _DECIMALS))
        tried = (-_direction(each) % 90.0 for each in sides[:_MAX_SIDES])
        turns = {turn for turn in tried if sides_on_grain(outline, turn) == wanted}
    found = {
        round((turn + quarter) % 360.0, _DECIMALS) % 360.0
        for turn in turns
        for quarter in _QUARTERS
    }
    return tuple(sorted(found))


def on_grain(outline: Outline, along_deg: float = 0.0) -> Outline:
    """Return an outline turned as it lies on the straight grain.

    Args:
        outline: of the piece.
        along_deg: direction of its block's edges.
    """
    lying = Rigid(turn_deg=-along_deg).outline(outline) if along_deg else outline
    sides = _straight(lying)
    if not sides or sides_on_grain(lying):
        return lying
    longest = max(sides, key=lambda each: round(each.length, _DECIMALS))
    return Rigid(turn_deg=-_direction(longest)).outline(lying)


def _straight(outline: Outline) -> list[Line]:
    return [each for each in outline.segments if isinstance(each, Line)]


def _direction(side: Line) -> float:
    return math.degrees(math.atan2(side.end.y - side.start.y, side.end.x - side.start.x))


def _off_grain(direction_deg: float) -> float:
    """Return the angle from a direction to the nearest quarter turn, degrees."""
    return abs((direction_deg + 45.0) % 90.0 - 45.0)
