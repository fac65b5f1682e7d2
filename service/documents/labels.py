"""Labels for bags: one for each piece of each run, to be printed and cut apart."""

from __future__ import annotations

from dataclasses import dataclass

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from geometry.model.outline import Outline
from service.documents.drawing import OutlineDrawing
from service.documents.label_sheet import label_sheet_pdf
from service.documents.model import RunSheet
from service.documents.plain import paragraph
from service.documents.type_face import BOLD, REGULAR

_ROWS = 5
_PAD = 8.0
_PICTURE = 72.0
_NAME = ParagraphStyle("name", fontName=BOLD, fontSize=22, leading=26)
_COUNT = ParagraphStyle("count", fontName=BOLD, fontSize=15, leading=19)
_SMALL = ParagraphStyle("small", fontName=REGULAR, fontSize=10.5, leading=13)


@dataclass(frozen=True)
class Label:
    """The text of one label."""

    title: str
    piece: str
    count: str
    about: str
    ticket: str
    outline: Outline


def labels_of(sheet: RunSheet) -> tuple[Label, ...]:
    """Return the labels of a kit, run by run."""
    pieces = {piece.id: piece for piece in sheet.pieces}
    found = []
    for run in sheet.runs:
        patch = run.cut == "patch"
        for name, needed, spares in run.portions:
            piece = pieces[name]
            # A shape's size is that of its template: a patch is larger.
            size = f"{piece.asked} finished" if patch and piece.asked else piece.asked
            # The run's title starts with its number and names its material.
            about = ", ".join(part for part in (piece.shape, size, run.title) if part)
            outline = piece.patch if patch else piece.template
            what = "patch" if patch else "template"
            number = f"{needed} + {spares} spare" if spares else str(needed)
            one = needed + spares == 1
            count = f"{number} {what if one else what + ('es' if patch else 's')}"
            found.append(Label(sheet.title, name, count, about, sheet.ticket, outline))
    return tuple(found)


def labels_pdf(sheet: RunSheet) -> bytes:
    """Return the labels as a PDF, ten per page; the same sheet gives the same bytes."""
    return label_sheet_pdf(sheet, labels_of(sheet), _ROWS, _draw)


def _draw(canvas: Canvas, label: Label, x: float, y: float, width: float, height: float) -> None:
    drawing = OutlineDrawing(label.outline, (_PICTURE, _PICTURE))
    drawn = drawing.wrap()
    drawing.drawOn(
        canvas,
        x + _PAD + (_PICTURE - drawn[0]) / 2,
        y + (height - drawn[1]) / 2,
    )
    room = width - _PICTURE - 3 * _PAD
    top = y + height - _PAD
    # The label holds six small lines.
    ticket_lines = (
        1 if paragraph(label.ticket, _SMALL).wrap(room, height)[1] <= _SMALL.leading else 2
    )
    for text, style, most in (
        (label.piece, _NAME, 1),
        (label.count, _COUNT, 1),
        (label.about, _SMALL, 5 - ticket_lines),
        (label.title, _SMALL, 1),
        (label.ticket, _SMALL, ticket_lines),
    ):
        line = _within(text, style, room, most)
        _, used = line.wrap(room, height)
        line.drawOn(canvas, x + 2 * _PAD + _PICTURE, top - used)
        top -= used + 2.0


def _within(text: str, style: ParagraphStyle, room: float, most: int) -> Paragraph:
    """Return the text in a limited number of lines: reduce its size first, then shorten it."""
    size, smaller = style.fontSize, style
    while size >= _SMALL.fontSize:
        smaller = ParagraphStyle("", parent=style, fontSize=size, leading=size * 1.2)
        line = paragraph(text, smaller)
        if line.wrap(room, 1e4)[1] <= most * smaller.leading + 0.1:
            return line
        size -= 1.0
    while len(text) > 1:
        text = text[: -max(1, len(text) // 10)]
        line = paragraph(text + "...", smaller)
        if line.wrap(room, 1e4)[1] <= most * smaller.leading + 0.1:
            return line
    return paragraph("", smaller)
