"""The run sheet as a PDF, with type large enough to read while standing at a bench.

Counts and angles are set in 15 point, everything else in 10.5 or more.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from functools import partial
from typing import Protocol

from reportlab.lib.colors import black, getAllNamedColors, white
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    Flowable,
    KeepTogether,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from service.documents.drawing import CheckSquare, Dial, LoadDrawing, PieceDrawing
from service.documents.model import RunSheet, SheetLoad, SheetPiece, SheetRun, SheetStop
from service.documents.plain import headed, paragraph
from service.documents.tick_boxes import TickBox, TickBoxGroups
from service.documents.type_face import BOLD, REGULAR, shown
from service.documents.wording import (
    BY_HAND,
    bags_heading,
    check_side,
    check_text,
    counted,
    tally,
    ticket_line,
    times_text,
)

# The library fills its table of named colours at the first use, and another thread that looks a
# colour up at that moment does not find it: fill it before there are threads.
getAllNamedColors()

PAPERS = {"letter": LETTER, "a4": A4}
MARGIN = 40.0
#: Largest drawing of a load, points: three loads on square beds share a page.
_DRAWING_HEIGHT = 180.0
#: Maximum counts, or files, of a load beside its drawing; more go below it.
_MAX_BESIDE = 7
#: Likewise of groups of five boxes.
_MAX_GROUPS_BESIDE = 10

BODY = ParagraphStyle("body", fontName=REGULAR, fontSize=10.5, leading=14)
_ITEM = ParagraphStyle(
    "item", parent=BODY, leftIndent=12, bulletIndent=2, spaceAfter=3, bulletFontName=REGULAR
)
_BOLD = ParagraphStyle("bold", parent=BODY, fontName=BOLD)
BIG = ParagraphStyle("big", parent=_BOLD, fontSize=15, leading=19)
TITLE = ParagraphStyle("title", parent=_BOLD, fontSize=20, leading=25, spaceAfter=6)
HEAD = ParagraphStyle(
    "head", parent=_BOLD, fontSize=14, leading=18, spaceBefore=12, spaceAfter=5, keepWithNext=1
)
_PLAIN = TableStyle(
    [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("FONTNAME", (0, 0), (-1, -1), REGULAR),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 6),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
    ]
)


class _Titled(Protocol):
    """What is typeset: its title, its paper, and the number of its kit."""

    @property
    def title(self) -> str: ...

    @property
    def paper(self) -> str: ...

    @property
    def number(self) -> str: ...


def run_sheet_pdf(sheet: RunSheet) -> bytes:
    """Return the sheet as a PDF; the same sheet gives the same bytes."""
    return typeset(sheet, story(sheet))


def typeset(sheet: _Titled, flowables: Iterable[Flowable]) -> bytes:
    """Typeset flowables on the sheet's paper and return the PDF."""
    paper = PAPERS[sheet.paper]
    target = io.BytesIO()
    document = SimpleDocTemplate(
        target,
        pagesize=paper,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN + 14,
        title=sheet.title,
        author="quarterseam",
        initialFontName=REGULAR,
        invariant=1,
    )

    def footer(canvas: Canvas, page: SimpleDocTemplate) -> None:
        # Asks viewers not to shrink the page; the check square shows whether they did.
        canvas.setViewerPreference("PrintScaling", "None")
        canvas.setCatalogEntry("Lang", "en")
        canvas.setFont(REGULAR, 10)
        canvas.drawString(MARGIN, MARGIN - 6, shown(f"{sheet.title[:70]} {sheet.number}"))
        canvas.drawRightString(paper[0] - MARGIN, MARGIN - 6, f"page {page.page}")

    # PrintScaling came with PDF 1.6.
    maker = partial(Canvas, pdfVersion=(1, 6))
    document.build(list(flowables), footer, footer, canvasmaker=maker)
    return target.getvalue()


def story(sheet: RunSheet) -> Iterator[Flowable]:
    """Yield the sheet's flowables from top to bottom; none is larger than a page."""
    width = PAPERS[sheet.paper][0] - 2 * MARGIN
    yield paragraph(sheet.title, TITLE)
    yield paragraph(ticket_line(sheet), BODY)
    # Before anything to be done: people work from the top.
    yield from listed("Cautions", sheet.cautions)
    yield from listed("Warnings", sheet.warnings)
    yield _check(sheet, width)
    for run in sheet.runs:
        yield from _run(run, width)
    yield from listed(bags_heading(sheet), tuple(f"{i.count}: {i.about}" for i in sheet.bag))
    for index, piece in enumerate(sheet.pieces):
        # Keep the heading on the same page as the first piece.
        head = [paragraph("Pieces", HEAD)] if index == 0 else []
        yield KeepTogether([*head, _piece(piece, width)])
    if sheet.office:
        # Nobody at the bench needs these: they have a page that can be taken off.
        yield PageBreak()
    yield paragraph("In all", HEAD)
    yield facts_table(sheet.totals, width)
    yield from listed("For the office", sheet.office)


def listed(title: str, lines: tuple[str, ...]) -> Iterator[Flowable]:
    """Yield a heading, if it has one, and a list of sentences."""
    if lines and title:
        yield paragraph(title, HEAD)
    for line in lines:
        yield paragraph(line, _ITEM, "\u2022")


def _check(sheet: RunSheet, width: float) -> Flowable:
    words = Paragraph(check_text(sheet), BODY)
    square = CheckSquare(check_side(sheet)[0])
    beside = square.wrap()[0] + 16
    return Table([[square, words]], colWidths=[beside, width - beside], style=_PLAIN)


def _run(run: SheetRun, width: float) -> Iterator[Flowable]:
    yield paragraph(run.title, HEAD)
    yield facts_table(run.facts, width)
    yield from listed("Warnings", run.warnings)
    yield from listed("Prepare", run.preparation)
    yield from listed(BY_HAND, run.by_hand)
    yield from listed("If the test cut is wrong", run.remedies)
    yield Spacer(1, 6)
    rows = [[paragraph(word, _BOLD) for word in ("Piece", "Needed", "Made", "Spare")]]
    rows.extend([paragraph(str(cell), BIG) for cell in total] for total in run.totals)
    yield Table(rows, colWidths=[width - 270, 90, 90, 90], style=_ruled(len(rows)), repeatRows=1)
    for load in run.loads:
        yield _load(run, load, width)
    yield from listed("Sort", run.sorting)


def _load(run: SheetRun, load: SheetLoad, width: float) -> Flowable:
    half = width / 2
    drawing = LoadDrawing(load, (half - 16, _DRAWING_HEIGHT))
    beside: list[Flowable] = [
        paragraph(f"{run.verb} it {times_text(load.repeats)}", BIG),
    ]
    boxes = tally(load.repeats)
    if 0 < len(boxes) <= _MAX_GROUPS_BESIDE:
        beside.append(TickBoxGroups(boxes, half - 16))
    counts = [
        [TickBox(), paragraph(f"{text}{_marked(drawing, piece)}", BIG)]
        for piece, text in counted(load, run.layers)
    ]
    files = [
        *(paragraph(line, BODY) for line in load.warnings),
        paragraph(f"About {load.time} a time.", BODY),
        *(paragraph(f"File: {name}", BODY) for name in load.files),
    ]
    below: list[Flowable] = []
    if len(boxes) > _MAX_GROUPS_BESIDE:
        below.append(TickBoxGroups(boxes, width))
    # A table row cannot break across pages, so long parts go below the drawing.
    if len(counts) <= _MAX_BESIDE and len(files) <= _MAX_BESIDE:
        beside.append(Table(counts, colWidths=[22, half - 36], style=_PLAIN))
        beside.extend(files)
    else:
        below.append(_in_two_columns(counts, half))
        below.extend(files)
    top = Table([[drawing, beside]], colWidths=[half, half], style=_PLAIN)
    parts: list[Flowable] = [paragraph(f"{run.title}, load {load.number}", HEAD), top, *below]
    if load.stops:
        spans = [
            ("SPAN", (1, row), (2, row))
            for row, stop in enumerate(load.stops)
            if stop.angle_deg is None
        ]
        parts.append(
            Table(
                [_stop(stop) for stop in load.stops],
                colWidths=[22, 44, width - 66],
                style=TableStyle([*_PLAIN.getCommands(), *spans]),
            )
        )
    return KeepTogether(parts)


def _marked(drawing: LoadDrawing, piece: str) -> str:
    """Return which letter stands for a piece in a load's drawing, if its id has no room there."""
    key = drawing.keys.get(piece)
    return f" (marked {key})" if key else ""


def _in_two_columns(cells: list[list[Flowable]], half: float) -> Flowable:
    rows: list[list[Flowable | str]] = []
    for index in range(0, len(cells), 2):
        pair = cells[index : index + 2]
        rows.append([*pair[0], *(pair[1] if len(pair) > 1 else ["", ""])])
    return Table(rows, colWidths=[22, half - 22] * 2, style=_PLAIN)


def _stop(stop: SheetStop) -> list[Flowable | str]:
    if stop.angle_deg is None:
        return [TickBox(), paragraph(stop.message, BODY), ""]
    return [TickBox(), Dial(stop.angle_deg), paragraph(stop.message, BIG)]


def _piece(piece: SheetPiece, width: float) -> Flowable:
    lines = [paragraph(f"{piece.id}: {piece.shape}, {piece.asked}".rstrip(", "), BIG)]
    lines.extend(headed(label, text, BODY, _BOLD) for label, text in piece.sizes)
    drawing = PieceDrawing(piece, (110.0, 90.0))
    return Table([[drawing, lines]], colWidths=[124, width - 124], style=_PLAIN)


def facts_table(
    facts: tuple[tuple[str, str], ...], width: float, style: ParagraphStyle = BODY
) -> Flowable:
    """Return labels and texts in two columns."""
    rows = [[paragraph(label, _BOLD), paragraph(text, style)] for label, text in facts]
    return Table(rows, colWidths=[120, width - 120], style=_PLAIN, splitInRow=1)


def _ruled(rows: int) -> TableStyle:
    return TableStyle(
        [
            *_PLAIN.getCommands(),
            # The heading goes to the next page with the first row.
            ("NOSPLIT", (0, 0), (-1, 1)),
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, black),
            ("LINEBELOW", (0, 1), (-1, rows - 1), 0.3, black),
            ("BACKGROUND", (0, 0), (-1, -1), white),
        ]
    )
