"""Labels for the bags of a kit in several copies: one per bag, to be printed and cut apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from service.documents.label_sheet import label_sheet_pdf, label_size
from service.documents.model import BagItem, RunSheet
from service.documents.plain import paragraph
from service.documents.type_face import BOLD, REGULAR

_MAX_ROWS, _MIN_ROWS = 5, 2
_PAD = 8.0
_SPACE = 3.0
_COPY = ParagraphStyle("copy", fontName=BOLD, fontSize=17, leading=21)
_TITLE = ParagraphStyle("bag-title", fontName=BOLD, fontSize=12, leading=15)
_COUNT = ParagraphStyle("bag-count", fontName=BOLD, fontSize=11, leading=14)
_SMALL = ParagraphStyle("bag-small", fontName=REGULAR, fontSize=10.5, leading=13)


@dataclass(frozen=True)
class BagLabel:
    """The text of one label; a bag with much in it has several."""

    copy: str
    title: str
    items: tuple[BagItem, ...]
    ticket: str


def bag_labels_of(sheet: RunSheet, parts: Sequence[Sequence[BagItem]]) -> Iterator[BagLabel]:
    """Yield the labels of all bags, whose contents are spread over these parts."""
    for number in range(1, sheet.copies + 1):
        for part, items in enumerate(parts, start=1):
            which = f", label {part} of {len(parts)}" if len(parts) > 1 else ""
            copy = f"Copy {number} of {sheet.copies}{which}"
            yield BagLabel(copy, sheet.title, tuple(items), sheet.ticket)


def bag_labels_pdf(sheet: RunSheet) -> bytes:
    """Return the labels as a PDF; the same sheet gives the same bytes."""
    # As many on a page as let a bag's contents stand on one label.
    rows = _MAX_ROWS + 1
    parts: list[list[BagItem]] = []
    while rows > _MIN_ROWS and len(parts) != 1:
        rows -= 1
        width, height = label_size(sheet, rows)
        parts = _parts(sheet, width - 2 * _PAD, height - 2 * _PAD)
    return label_sheet_pdf(sheet, bag_labels_of(sheet, parts), rows, _draw)


def _parts(sheet: RunSheet, width: float, height: float) -> list[list[BagItem]]:
    """Return a bag's contents as they fit on labels of this size, at least one item on each."""
    beside = sum(
        _height(each, width)
        for each in (
            # As long as the longest of them.
            paragraph(f"Copy {sheet.copies} of {sheet.copies}, label 99 of 99", _COPY),
            paragraph(sheet.title, _TITLE),
            paragraph(sheet.ticket, _SMALL),
        )
    )
    parts: list[list[BagItem]] = [[]]
    left = height - beside
    for item in sheet.bag:
        needed = sum(_height(each, width) for each in _item(item))
        if parts[-1] and needed > left:
            parts.append([])
            left = height - beside
        parts[-1].append(item)
        left -= needed
    return parts


def _height(text: Paragraph, width: float) -> float:
    return float(text.wrap(width, 1e4)[1]) + _SPACE


def _item(item: BagItem) -> tuple[Paragraph, Paragraph]:
    return paragraph(item.count, _COUNT), paragraph(item.about, _SMALL)


def _draw(canvas: Canvas, label: BagLabel, x: float, y: float, width: float, height: float) -> None:
    top = y + height - _PAD
    for line in (
        paragraph(label.copy, _COPY),
        paragraph(label.title, _TITLE),
        *(each for item in label.items for each in _item(item)),
        paragraph(label.ticket, _SMALL),
    ):
        used = _height(line, width - 2 * _PAD)
        line.drawOn(canvas, x + _PAD, top - used + _SPACE)
        top -= used
