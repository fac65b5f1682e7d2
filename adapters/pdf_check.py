"""The first page of a printed plan: what to measure and read before cutting.

It draws with reportlab on the caller's canvas and ends the page.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from geometry.sentences import said
from geometry.units import MM_PER_INCH, POINTS_PER_INCH

_POINT = POINTS_PER_INCH / MM_PER_INCH
#: Size of the content, mm.
SIZE = (200.0, 185.0)
#: Of the names of large pieces as many are listed.
_MAX_NAMES = 2


def check_page(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    paper: tuple[float, float],
    pages: int,
    joined: str,
    large: Sequence[str],
) -> None:
    """Draw the square, the bar and the rulers for checking the print, with instructions.

    Args:
        canvas: of the whole file.
        paper: its size, mm.
        pages: number of those that follow.
        joined: numbers of those that are joined; empty for none.
        large: names of the pieces for which they are; none if they join to the whole bed.
    """
    canvas.setPageSize((paper[0] * _POINT, paper[1] * _POINT))
    left, top = 20.0 * _POINT, (paper[1] - 20.0) * _POINT
    canvas.setFont("Helvetica-Bold", 16)
    canvas.drawString(left, top, said("Check this page before you cut"))
    canvas.setFont("Helvetica", 11)
    for row, line in enumerate(_words(pages, joined, large)):
        canvas.drawString(left, top - (22 + 15 * row), line)
    y = top - 190
    canvas.setLineWidth(0.5)
    canvas.rect(left, y - 72.0, 72.0, 72.0)
    canvas.drawString(left + 80.0, y - 40.0, said("1 in = 25.4 mm each way"))
    canvas.line(left, y - 100.0, left + 100.0 * _POINT, y - 100.0)
    for end in (0.0, 100.0):
        canvas.line(left + end * _POINT, y - 105.0, left + end * _POINT, y - 95.0)
    canvas.drawString(left + 100.0 * _POINT + 8.0, y - 104.0, "100 mm")
    _ruler(canvas, left, y - 150.0, 72.0 / 8.0, 48, 8, "in")
    _ruler(canvas, left, y - 200.0, _POINT, 150, 10, "cm")
    canvas.showPage()


def join_words(joined: str, large: Sequence[str]) -> str:
    """Return which pieces are larger than a page, and how their pages are joined."""
    return said(
        "Join pages {joined} for {names}, larger than a page. Place one over the other so that "
        "crosses of the same name meet, tape them, then cut.",
        names=", ".join(large),
        joined=joined,
    )


def _words(pages: int, joined: str, large: Sequence[str]) -> tuple[str, ...]:
    follow: tuple[str, ...] = (said("1 page follows."),)
    how = said("place one over the other so that crosses of the same name meet, and tape them.")
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
        said("The square must measure 1 in (25.4 mm) each way, the bar 100 mm."),
        said("If they do not, set printing to 100 % and print again; do not cut."),
        *follow,
        said("Full lines are cut; dashed lines are creased; dotted lines are drawn only."),
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
