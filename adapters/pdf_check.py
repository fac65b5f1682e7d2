"""The first page of a printed plan: what to measure and read before cutting.

It draws with reportlab on the caller's canvas and ends the page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from geometry.sentences import said
from geometry.units import MM_PER_INCH, POINTS_PER_INCH

_POINT = POINTS_PER_INCH / MM_PER_INCH
#: Size of the content, mm.
SIZE = (200.0, 185.0)
#: Of the names of large pieces as many are listed.
_MAX_NAMES = 2


@dataclass(frozen=True)
class _Measures:
    """What a print is checked by: sides of the square, mm and in words, and of the bar; rulers."""

    square_mm: float
    square: str
    bar_mm: float
    bar: str
    rulers: tuple[str, ...]


_MEASURES: Final = {
    "both": _Measures(25.4, "1 in (25.4 mm)", 100.0, "100 mm", ("in", "cm")),
    "in": _Measures(25.4, "1 in", 101.6, "4 in", ("in",)),
    "cm": _Measures(30.0, "3 cm", 100.0, "10 cm", ("cm",)),
    "mm": _Measures(30.0, "30 mm", 100.0, "100 mm", ("cm",)),
}


def check_page(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    paper: tuple[float, float],
    pages: int,
    joined: str,
    large: Sequence[str],
    units: str = "both",
) -> None:
    """Draw the square, the bar and the rulers for checking the print, with instructions.

    Args:
        canvas: of the whole file.
        paper: its size, mm.
        pages: number of those that follow.
        joined: numbers of those that are joined; empty for none.
        large: names of the pieces for which they are; none if they join to the whole bed.
        units: ``in``, ``cm``, ``mm`` or ``both``.
    """
    shown = _MEASURES[units]
    canvas.setPageSize((paper[0] * _POINT, paper[1] * _POINT))
    left, top = 20.0 * _POINT, (paper[1] - 20.0) * _POINT
    canvas.setFont("Helvetica-Bold", 16)
    canvas.drawString(left, top, said("Check this page before you cut"))
    canvas.setFont("Helvetica", 11)
    for row, line in enumerate(_words(pages, joined, large, shown)):
        canvas.drawString(left, top - (22 + 15 * row), line)
    y = top - 190
    side, bar = shown.square_mm * _POINT, shown.bar_mm * _POINT
    canvas.setLineWidth(0.5)
    canvas.rect(left, y - side, side, side)
    words = said("{side} each way", side=shown.square.replace(" (", " = ").rstrip(")"))
    canvas.drawString(left + side + 8.0, y - side / 2.0 - 4.0, words)
    y -= side + 28.0
    canvas.line(left, y, left + bar, y)
    for end in (0.0, bar):
        canvas.line(left + end, y - 5.0, left + end, y + 5.0)
    canvas.drawString(left + bar + 8.0, y - 4.0, shown.bar)
    for row, unit in enumerate(shown.rulers, start=1):
        if unit == "in":
            _ruler(canvas, left, y - 50.0 * row, 72.0 / 8.0, 48, 8, "in")
        else:
            _ruler(canvas, left, y - 50.0 * row, _POINT, 150, 10, "cm")
    canvas.showPage()


def join_words(joined: str, large: Sequence[str]) -> str:
    """Return which pieces are larger than a page, and how their pages are joined."""
    return said(
        "Join pages {joined} for {names}, larger than a page. Against a window, lay one on the "
        "other so that crosses of the same name meet; tape them, then cut. The crosses themselves "
        "are not cut.",
        names=", ".join(large),
        joined=joined,
    )


def _words(pages: int, joined: str, large: Sequence[str], shown: _Measures) -> tuple[str, ...]:
    follow: tuple[str, ...] = (said("1 page follows."),)
    how = said(
        "against a window, lay one on the other so that crosses of the same name meet; tape them."
    )
    if large:
        named = ", ".join(large[:_MAX_NAMES]) + (", ..." if len(large) > _MAX_NAMES else "")
        follow = (
            said(
                "{pages} pages follow. Join pages {joined} (larger than a page: {named}):",
                pages=pages,
                joined=joined,
                named=named,
            ),
            how,
        )
    elif joined:
        follow = (said("{pages} pages follow. Neighbouring pages overlap:", pages=pages), how)
    elif pages > 1:
        follow = (
            said(
                "{pages} pages follow. Every piece lies whole on one of them: join none.",
                pages=pages,
            ),
        )
    return (
        said("Print at 100 % (actual size), never fitted to the page."),
        said(
            "The square must measure {side} each way, the bar {bar}.",
            side=shown.square,
            bar=shown.bar,
        ),
        said("If they do not, set printing to 100 % and print again; do not cut."),
        *follow,
        said("Full lines are cut; dashed lines are creased; dotted lines are drawn only."),
        *([said("Crosses with a ring only join pages: they are not cut.")] if joined else []),
        said("Cut away from the body, free hand out of the path, blade closed after every cut."),
        said("The tool's own manual and the rules of your workplace come first."),
    )


def _ruler(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    x: float,
    y: float,
    step: float,
    count: int,
    whole: int,
    unit: str,
) -> None:
    canvas.setFont("Helvetica", 10)
    for mark in range(count + 1):
        tall = 12.0 if mark % whole == 0 else 8.0 if mark % (whole // 2) == 0 else 5.0
        canvas.line(x + mark * step, y, x + mark * step, y + tall)
        if mark % whole == 0:
            canvas.drawString(x + mark * step + 1.5, y + 13.0, str(mark // whole))
    canvas.drawString(x + count * step + 8.0, y + 2.0, unit)
