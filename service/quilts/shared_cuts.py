"""How rectangles of fabric are parted into the pieces that share them."""

from __future__ import annotations

from geometry.planning.strips import StripPattern
from geometry.planning.triangles import SharedRectangle
from geometry.units import format_length
from service.texts import gettext as _
from service.texts import ngettext

#: mm below which a point lies on an edge.
_NEAR = 1e-6


def cut_in_rectangles(
    boxes: str, count: int, pieces: str, shared: SharedRectangle, pattern: StripPattern, units: str
) -> str:
    """Return how rectangles are cut, and what comes of them.

    Args:
        boxes: the rectangles, in words.
        count: of rectangles.
        pieces: that come of them, in words.
        shared: by how many pieces, and how.
        pattern: of the rectangles as cut.
        units: of the words.
    """
    if not shared.first:
        return ngettext(
            "{boxes}; cut it along {along}: {pieces}",
            "{boxes}; cut each along {along}: {pieces}",
            count,
            boxes=boxes,
            along=_("both diagonals") if shared.needs_quarter_turn else _("a diagonal"),
            pieces=pieces,
        )
    if shared.is_end_to_end:
        return ngettext(
            "{boxes}; cut it across, {mark} from one end: {pieces}",
            "{boxes}; cut each across, {mark} from one end: {pieces}",
            count,
            boxes=boxes,
            mark=format_length(pattern.height / 2.0, units),
            pieces=pieces,
        )
    mark, side = _mark(shared, pattern)
    return ngettext(
        "{boxes}; mark {mark} from two opposite corners along the {side} sides, as drawn, and cut "
        "from mark to mark: {pieces}",
        "{boxes}; on each mark {mark} from two opposite corners along the {side} sides, as drawn, "
        "and cut from mark to mark: {pieces}",
        count,
        boxes=boxes,
        mark=format_length(mark, units),
        side=format_length(side, units),
        pieces=pieces,
    )


def _mark(shared: SharedRectangle, pattern: StripPattern) -> tuple[float, float]:
    """Return how far from a corner the slanted cut ends on a side, and how long the side is, mm."""
    first = shared.first_in(pattern.width, pattern.height, pattern.turn_deg)
    is_upright = all(min(x, pattern.width - x) <= _NEAR for x, _y in first)
    along = [y if is_upright else x for x, y in first]
    side = pattern.height if is_upright else pattern.width
    # The first piece may lie at either end of these sides.
    parts = [each for each in along if min(each, side - each) > _NEAR]
    return max(*parts, *(side - each for each in parts)), side
