"""PDF at true size, for printing and cutting by hand; larger beds take several pages.

Source:
    ISO 32000-1:2008: user space of 1/72 in, path operators m, l, c, h, S, marked content, optional
    content (8.11); the viewer preference PrintScaling came with PDF 1.6. A cubic for an arc of up
    to 45 degrees deviates by 4.3e-6 of the radius.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from adapters.contract import CONTRACT, Kept, Setting, Written, resolved
from adapters.names import comment, layer_of
from adapters.numbers import number, require_finite
from adapters.pages import BedPage, JoinMark, holds, marks
from adapters.pdf_check import SIZE, check_page, join_words
from adapters.pdf_layers import add_layers, name_layers
from adapters.pdf_marks import draw_marks
from adapters.pdf_pages import LINE_POINTS, large_pieces, page_clip, printed_pages
from adapters.split import short_arcs
from adapters.whole_pages import PrintedPage, groups_of, page_numbers
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point
from geometry.model.segments import Arc, Bounds
from geometry.sentences import said
from geometry.units import MM_PER_INCH, POINTS_PER_INCH

_POINT = POINTS_PER_INCH / MM_PER_INCH
_EIGHTH = math.pi / 4.0
#: Left edge of a page's text, as a share of its width.
_WORDS_AT = 0.27
#: Letter heights in points below which a name is hard to read, or unreadable.
_SMALL, _SMALLEST = 5.0, 3.0
#: Dash patterns of lines that are not cut, points.
_DASHES = {"cut": "[] 0 d", "score": "[6 3] 0 d", "mark": "[1 2] 0 d"}


class PdfAdapter:
    """Writes PDF."""

    contract = CONTRACT
    name = "pdf"
    title = "PDF, true size, to print and cut by hand"
    media_type = "application/pdf"
    extension = "pdf"
    supports: frozenset[Kept] = frozenset({"operations", "stations", "pieces", "order"})
    resolution = 0.002
    settings: tuple[Setting, ...] = (
        Setting(
            "paper",
            "choice",
            "letter or a4, oriented for the fewest sheets; bed: one page as large as the bed "
            "(roll printers)",
            default="letter",
            choices=("letter", "a4", "bed"),
        ),
        Setting(
            "margin_mm",
            "number",
            "the printer's blank margin on each side",
            default=6.35,
            minimum=0.0,
            maximum=40.0,
        ),
        Setting(
            "overlap_mm",
            "number",
            "overlap of neighbouring pages",
            default=10.0,
            minimum=0.0,
            maximum=60.0,
        ),
        Setting(
            "joined",
            "choice",
            "large: pages are joined only for pieces larger than a page, all others lie whole on "
            "one; all: the pages join to the whole bed",
            default="large",
            choices=("large", "all"),
        ),
    )

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the plan as a PDF: a check page, then the bed on as many pages as it needs.

        Raises:
            SettingError: for an unknown or out-of-range setting.
            CannotHoldError: for a coordinate that is not finite, or a bed of too many pages.
        """
        values = resolved(self.settings, settings, self.name)
        require_finite(plan)
        boxes = [_box(stroke) for stroke in plan.strokes]
        groups = groups_of(plan)
        paper, sheets = printed_pages(plan, boxes, groups, values)
        joined = [at for at, sheet in enumerate(sheets, start=1) if sheet.is_joined]
        large = large_pieces(plan, boxes, groups, sheets)
        # Imported here, so that only PDF files wait for it.
        from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415

        target = io.BytesIO()
        canvas = Canvas(target, pdfVersion=(1, 6), invariant=1)
        canvas.setTitle(comment(plan.title or "cut plan"))
        canvas.setViewerPreference("PrintScaling", "None")
        layers = add_layers(canvas, plan)
        size = SIZE if values["paper"] == "bed" else paper
        check_page(canvas, size, len(sheets), page_numbers(joined) if joined else "", large)
        joins, names = marks([each.page for each in sheets if each.is_joined]), _names(plan, boxes)
        for count, sheet in enumerate(sheets, start=1):
            page = sheet.page
            canvas.setPageSize((paper[0] * _POINT, paper[1] * _POINT))
            margin = float(values["margin_mm"])
            words = _page_words(plan, sheet, count, len(sheets))
            _words(canvas, page, margin, joins if sheet.is_joined else (), words)
            drawn = sheet.drawn(groups, boxes)
            some = [(name, box) for at, name, box in names if sheet.has(at)]
            _page(canvas, plan, drawn, sheet, margin, some)
            name_layers(canvas, layers)
        canvas.save()
        losses = [said("PDF draws arcs as cubic curves within 0.002 mm.")]
        if len(plan.stops) > 1:
            losses.append(said("PDF files hold no stops: the run sheet lists them."))
        bench = (join_words(page_numbers(joined), large),) if large else ()
        return Written(target.getvalue(), tuple(losses), pages=len(sheets), bench=bench)


def _box(stroke: Stroke) -> Bounds:
    return Bounds.around(part.bounds() for part in stroke.segments)


def _page_words(plan: CutPlan, sheet: PrintedPage, count: int, all_of_them: int) -> str:
    """Return the title and number of a page, and of one that is joined its place among them."""
    words = said("page {count} of {all}", count=count, all=all_of_them)
    if sheet.is_joined:
        where = said("row {row}, column {column}", row=sheet.page.row, column=sheet.page.column)
        words = f"{words} ({where})"
    return f"{comment(plan.title)}: {words}" if plan.title else words


def _words(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    page: BedPage,
    margin: float,
    joins: Sequence[JoinMark],
    words: str,
) -> None:
    """Write the page's number, and draw the crosses of its joins."""
    part = page.part
    canvas.setFont("Helvetica", 8)
    # Inside the printable area for any margin, and between the crosses of a join.
    across, up = margin + _WORDS_AT * part.width, max(margin, 5.0)
    canvas.drawString(across * _POINT, up * _POINT + 2.0, words)
    draw_marks(canvas, part, margin, joins)


def _names(plan: CutPlan, boxes: Sequence[Bounds]) -> list[tuple[int, str, Bounds]]:
    """Return the number of each placed piece, its name, and the box of its outline."""
    found: dict[int, tuple[str, list[Bounds]]] = {}
    for stroke, box in zip(plan.strokes, boxes, strict=True):
        if stroke.placement is not None and stroke.piece and stroke.part == "outline":
            name = f"{comment(stroke.piece, 24)} {stroke.placement + 1}"
            found.setdefault(stroke.placement, (name, []))[1].append(box)
    return [(at, name, Bounds.around(some)) for at, (name, some) in found.items()]


def _name(canvas: Any, text: Any, name: str, place: Point, width: float) -> None:  # noqa: ANN401
    """Write a piece's name beside its middle, or across it if that is too narrow."""
    em = canvas.stringWidth(name, "Helvetica", 1.0) / _POINT
    beside, across = 0.4 * width / em, 0.9 * width / em
    size = min(7.0, beside if beside >= _SMALL else across)
    left = place.x + 1.5 if beside >= _SMALL else place.x - size * em / 2.0
    if size >= _SMALLEST:
        text.setFont("Helvetica", size)
        text.setTextOrigin(left * _POINT, place.y * _POINT)
        text.textOut(name)


def _page(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    plan: CutPlan,
    drawn: Sequence[int],
    sheet: PrintedPage,
    margin: float,
    names: Sequence[tuple[str, Bounds]],
) -> None:
    part, clip = sheet.page.part, page_clip(sheet, margin)
    dx, dy = margin - part.left, margin - part.bottom
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(clip.left * _POINT, clip.bottom * _POINT, clip.width * _POINT, clip.height * _POINT)
    canvas.clipPath(frame, stroke=0, fill=0)
    canvas.setFillGray(0.4)
    text = canvas.beginText()
    for name, box in names:
        # Below the middle, clear of removal holes.
        x, y = (box.left + box.right) / 2.0, box.bottom + 0.3 * box.height
        if holds(part, Point(x, y)):
            _name(canvas, text, name, Point(x + dx, y + dy), box.width)
    canvas.drawText(text)
    # Shows our reader which part of the bed the page shows.
    left, bottom = clip.left - dx, clip.bottom - dy
    canvas.addLiteral(f"/Part <</Left {number(left)} /Bottom {number(bottom)}>> BDC")
    # Round joins: with mitres, a sharp tip would extend beyond the cut.
    canvas.addLiteral(f"{LINE_POINTS} w 1 j 0 G")
    shown = ((index, plan.strokes[index]) for index in drawn)
    kinds = groupby(shown, key=lambda pair: (layer_of(pair[1]), pair[1].operation))
    for (layer, operation), strokes in kinds:
        canvas.addLiteral(f"/OC /{layer} BDC")
        canvas.addLiteral(_DASHES[operation])
        for index, stroke in strokes:
            canvas.addLiteral(f"/Stroke <</N {index} /Kind /{layer}>> BDC")
            canvas.addLiteral(" ".join(_operators(stroke, dx, dy)))
            canvas.addLiteral("EMC")
        canvas.addLiteral("EMC")
    canvas.addLiteral("EMC")
    canvas.restoreState()
    canvas.showPage()


def _operators(stroke: Stroke, dx: float, dy: float) -> Iterator[str]:
    def at(x: float, y: float) -> str:
        return f"{number((x + dx) * _POINT, 5)} {number((y + dy) * _POINT, 5)}"

    first = stroke.vertices[0]
    yield f"{at(first.x, first.y)} m"
    segments = list(short_arcs(stroke, _EIGHTH))
    for index, part in enumerate(segments):
        if isinstance(part, Arc):
            reach = 4.0 / 3.0 * math.tan(abs(part.sweep) / 4.0) * part.radius
            a, b = part.start_heading, part.end_heading
            one = at(part.start.x + reach * math.cos(a), part.start.y + reach * math.sin(a))
            two = at(part.end.x - reach * math.cos(b), part.end.y - reach * math.sin(b))
            yield f"{one} {two} {at(part.end.x, part.end.y)} c"
        elif not (stroke.closed and index == len(segments) - 1):
            yield f"{at(part.end.x, part.end.y)} l"
    yield "h S" if stroke.closed else "S"


ADAPTER = PdfAdapter()
