"""The angle at which diamonds and similar pieces are cut off a strip, and the cuts' distance."""

from __future__ import annotations

import math

from geometry.model.outline import Outline
from geometry.model.segments import Segment
from geometry.model.transform import Rigid
from geometry.planning.strips import StripPattern
from geometry.units import format_length
from service.texts import gettext as _

#: Degrees, and mm, that differ by less are the same.
_SAME_DEG, _SAME = 1e-6, 1e-6


def slanted_cuts(outline: Outline, pattern: StripPattern, units: str) -> str:
    """Return a sentence about the angle of the cuts between pieces in a strip, after a space.

    Shape:
        Empty unless straight cuts of one angle across the strip divide it into the pieces.

    Args:
        outline: of a piece as cut, as drawn.
        pattern: how pieces lie in the strip, rounded up to the ruler's marks.
        units: of the lengths in the sentence.
    """
    sides = _sides(outline, pattern)
    if sides is None:
        return ""
    level, ends = sides
    one, other = (_lean_deg(side) for side in ends)
    angle = f"{min(one, 180.0 - one):.1f}".removesuffix(".0")
    if not pattern.is_alternate and abs(one - other) <= _SAME_DEG:
        apart = pattern.steps[0] * math.sin(math.radians(one))
        return _(
            " Cut across at {angle} degrees to the strip's edge, the cuts {apart} apart.",
            angle=angle,
            apart=format_length(apart, units),
        )
    if abs(one + other - 180.0) <= _SAME_DEG:
        height = max(side.length * math.sin(math.radians(one)) for side in ends)
        widest = max(side.length for side in level) * pattern.height / height
        return _(
            " Cut across at {angle} degrees to the strip's edge, leaning left and right in turn; "
            "each piece is {widest} at its widest.",
            angle=angle,
            widest=format_length(widest, units),
        )
    return ""


def _sides(
    outline: Outline, pattern: StripPattern
) -> tuple[list[Segment], tuple[Segment, Segment]] | None:
    """Return the sides of a piece on the strip's edges, and the two slanted ones between them."""
    if outline.has_arcs or not pattern.is_cut_across:
        return None
    for ahead in (0.0, 90.0):
        # A strip along the fabric is upright.
        lying = Rigid((pattern.turn_deg + ahead) % 360.0).outline(outline)
        level = [side for side in lying.segments if abs(side.end.y - side.start.y) <= _SAME]
        ends = [side for side in lying.segments if side not in level]
        if level and len(ends) == 2:  # noqa: PLR2004 - one on each side
            upright = all(abs(side.end.x - side.start.x) <= _SAME for side in ends)
            return None if upright else (level, (ends[0], ends[1]))
    return None


def _lean_deg(side: Segment) -> float:
    """Return the angle of a side to the strip's edge, 0 to 180 degrees, counter-clockwise."""
    rise, run = side.end.y - side.start.y, side.end.x - side.start.x
    return math.degrees(math.atan2(rise, run)) % 180.0
