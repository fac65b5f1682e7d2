"""A sheet of labels: pages of equal boxes, to be printed and cut apart."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from typing import TypeVar

from reportlab.pdfgen.canvas import Canvas

from service.documents.model import RunSheet
from service.documents.pdf import MARGIN, PAPERS
from service.documents.type_face import REGULAR

T = TypeVar("T")
#: Draws a label: on a canvas, in a box of this left, bottom, width and height, points.
Draw = Callable[[Canvas, T, float, float, float, float], None]

_COLUMNS = 2


def label_size(sheet: RunSheet, rows: int) -> tuple[float, float]:
    """Return the width and height of a label, points, with so many rows on a page."""
    paper = PAPERS[sheet.paper]
    return (paper[0] - 2 * MARGIN) / _COLUMNS, (paper[1] - 2 * MARGIN) / rows


def label_sheet_pdf(sheet: RunSheet, labels: Iterable[T], rows: int, draw: Draw[T]) -> bytes:
    """Return labels as a PDF, each in a dashed box; the same sheet gives the same bytes."""
    paper = PAPERS[sheet.paper]
    width, height = label_size(sheet, rows)
    target = io.BytesIO()
    canvas = Canvas(target, pagesize=paper, invariant=1, pdfVersion=(1, 6), initialFontName=REGULAR)
    canvas.setTitle(f"{sheet.title}: labels")
    canvas.setCatalogEntry("Lang", "en")
    canvas.setAuthor("quarterseam")
    canvas.setViewerPreference("PrintScaling", "None")
    for index, label in enumerate(labels):
        place = index % (_COLUMNS * rows)
        if index and place == 0:
            canvas.showPage()
        row, column = divmod(place, _COLUMNS)
        x, y = MARGIN + column * width, paper[1] - MARGIN - (row + 1) * height
        canvas.setLineWidth(0.3)
        canvas.setDash(2, 2)
        canvas.rect(x, y, width, height)
        canvas.setDash()
        draw(canvas, label, x, y, width, height)
    canvas.showPage()
    canvas.save()
    return target.getvalue()
