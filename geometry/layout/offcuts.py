"""Usable rectangles that a load leaves at the sides of a rectangular work area."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from geometry.layout.item import Offcut
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load

#: Narrower strips are waste, mm. Common practice, no source: 25 mm still makes a 1 in strip.
_NARROWEST = 25.0


def offcuts_of(
    loads: Sequence[Load], outlines: Mapping[str, Outline], room: WorkArea, gap: float
) -> tuple[Offcut, ...]:
    """Return the strips right of and above what each load places, the larger way of the two.

    Shape:
        At most two a load, in order of loads; none where the work area is no rectangle.

    Units:
        mm, in the coordinates of the work area; a gap's width from the pieces.
    """
    found: list[Offcut] = []
    if not room.is_rectangle or room.open_right:
        return ()
    area = room.bounds
    for number, load in enumerate(loads):
        boxes = [each.move.outline(outlines[each.piece]).bounds for each in load.placements]
        right = min(area.right, max(box.right for box in boxes) + gap)
        top = min(area.top, max(box.top for box in boxes) + gap)
        beside, above = area.right - right, area.top - top
        full_height = beside * area.height >= above * area.width
        strips = (
            (
                "right strip",
                right,
                area.bottom,
                beside,
                area.height if full_height else top - area.bottom,
            ),
            ("top strip", area.left, top, right - area.left if full_height else area.width, above),
        )
        found.extend(
            Offcut(number, name, x, y, width, height)
            for name, x, y, width, height in strips
            if min(width, height) >= _NARROWEST
        )
    return tuple(found)
