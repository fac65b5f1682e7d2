"""The marks of a printed plan by which neighbouring pages are joined.

It draws with reportlab on the caller's canvas.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import product
from typing import Any

from adapters.pages import JoinMark, holds
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.units import MM_PER_INCH, POINTS_PER_INCH

_POINT = POINTS_PER_INCH / MM_PER_INCH
#: Length of a mark's arms, mm.
_ARM = 3.0
#: Letter height of a mark's name, points.
_NAME = 7.0


def draw_marks(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    part: Bounds,
    margin: float,
    joins: Sequence[JoinMark],
    is_free: Callable[[Bounds], bool],
) -> None:
    """Draw a page's join marks, no more of them than the printer can print.

    ``is_free`` says of a place on the bed whether no line of the plan crosses it.
    """
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(margin * _POINT, margin * _POINT, part.width * _POINT, part.height * _POINT)
    canvas.clipPath(frame, stroke=0, fill=0)
    for join in joins:
        if holds(part, join.place):
            dx, dy = margin - part.left, margin - part.bottom
            _cross(canvas, join.place.x + dx, join.place.y + dy)
            name = _name_place(canvas, part, join, is_free)
            canvas.setFont("Helvetica", _NAME)
            canvas.drawString((name.x + dx) * _POINT, (name.y + dy) * _POINT, join.name)
    canvas.restoreState()


def mark_boxes(joins: Sequence[JoinMark]) -> Iterator[Bounds]:
    """Yield what the marks of a page's joins take up on the bed, with their names, mm."""
    for join in joins:
        x, y, reach = join.place.x, join.place.y, _ARM + _NAME / _POINT
        yield Bounds(x - reach, y - reach, x + reach, y + reach)


def _cross(canvas: Any, x: float, y: float) -> None:  # noqa: ANN401 - reportlab's canvas
    """Draw a cross, to be matched with the same cross of a neighbouring page; place in mm."""
    canvas.setLineWidth(0.3)
    canvas.line((x - _ARM) * _POINT, y * _POINT, (x + _ARM) * _POINT, y * _POINT)
    canvas.line(x * _POINT, (y - _ARM) * _POINT, x * _POINT, (y + _ARM) * _POINT)
    canvas.circle(x * _POINT, y * _POINT, _ARM / 2.0 * _POINT)


def _name_place(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    part: Bounds,
    join: JoinMark,
    is_free: Callable[[Bounds], bool],
) -> Point:
    """Return where a cross's name begins on the bed: on the page, and off lines if it can be."""
    beside, high = _ARM / 2.0, _NAME / _POINT
    wide = canvas.stringWidth(join.name, "Helvetica", _NAME) / _POINT
    lefts = (join.place.x + beside, join.place.x - beside - wide)
    feet = (join.place.y + beside, join.place.y - beside - high)
    places = [
        Point(left, foot)
        for foot, left in product(feet, lefts)
        if part.left <= left
        and left + wide <= part.right
        and part.bottom <= foot
        and foot + high <= part.top
    ]
    free = (
        each for each in places if is_free(Bounds(each.x, each.y, each.x + wide, each.y + high))
    )
    return next(free, places[0] if places else Point(lefts[0], feet[0]))
