"""The marks of a printed plan by which neighbouring pages are joined.

It draws with reportlab on the caller's canvas.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from adapters.pages import JoinMark, holds
from geometry.model.segments import Bounds
from geometry.units import MM_PER_INCH, POINTS_PER_INCH

_POINT = POINTS_PER_INCH / MM_PER_INCH
#: Length of a mark's arms, mm.
_ARM = 3.0
#: Letter height of a mark's name, points.
_NAME = 7.0


def draw_marks(canvas: Any, part: Bounds, margin: float, joins: Sequence[JoinMark]) -> None:  # noqa: ANN401
    """Draw a page's join marks, no more of them than the printer can print."""
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(margin * _POINT, margin * _POINT, part.width * _POINT, part.height * _POINT)
    canvas.clipPath(frame, stroke=0, fill=0)
    for join in joins:
        if holds(part, join.place):
            x, y = join.place.x - part.left, join.place.y - part.bottom
            _cross(canvas, (x, y), (part.width, part.height), margin, join.name)
    canvas.restoreState()


def _cross(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    place: tuple[float, float],
    size: tuple[float, float],
    margin: float,
    name: str,
) -> None:
    """Draw a named cross, to be matched with the same cross of a neighbouring page.

    Args:
        canvas: the page.
        place: of the cross in the printable area, mm.
        size: of the printable area, mm.
        margin: the printable area's distance from the edges of the sheet, mm.
        name: is written beside the cross, on the side where there is room for it.
    """
    x, y = place[0] + margin, place[1] + margin
    canvas.setLineWidth(0.3)
    canvas.line((x - _ARM) * _POINT, y * _POINT, (x + _ARM) * _POINT, y * _POINT)
    canvas.line(x * _POINT, (y - _ARM) * _POINT, x * _POINT, (y + _ARM) * _POINT)
    canvas.circle(x * _POINT, y * _POINT, _ARM / 2.0 * _POINT)
    canvas.setFont("Helvetica", _NAME)
    beside, wide = _ARM / 2.0, canvas.stringWidth(name, "Helvetica", _NAME) / _POINT
    left = x + beside if place[0] + beside + wide <= size[0] else x - beside - wide
    high = _NAME / _POINT
    foot = y + beside if place[1] + beside + high <= size[1] else y - beside - high
    canvas.drawString(left * _POINT, foot * _POINT, name)
