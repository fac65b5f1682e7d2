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
from adapters.errors import CannotHoldError
from adapters.names import comment, layer_of
from adapters.numbers import number, require_finite
from adapters.pages import MAX_PAGES, Mark, Page, holds, marks, pages, pages_over, touches
from adapters.pdf_check import SIZE, check_page
from adapters.pdf_layers import add_layers, name_layers
from adapters.pdf_marks import draw_marks
from adapters.split import short_arcs
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point
from geometry.model.segments import Arc, Bounds
from geometry.units import MM_PER_INCH, POINTS_PER_INCH

_POINT = POINTS_PER_INCH / MM_PER_INCH
_PAPERS_MM = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
#: Largest page, mm: 14,400 points; beyond that, viewers differ.
_LARGEST_MM = 5080.0
_EIGHTH = math.pi / 4.0
#: Left edge of a page's text, as a share of its width.
_WORDS_AT = 0.27
#: Letter heights in points below which a name is hard to read, or unreadable.
_SMALL, _SMALLEST = 5.0, 3.0
#: Width of lines, points.
_LINE = 0.7
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
        paper, shown = _pages(plan, boxes, values)
        # Imported here, so that only PDF files wait for it.
        from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415

        target = io.BytesIO()
        canvas = Canvas(target, pdfVersion=(1, 6), invariant=1)
        canvas.setTitle(comment(plan.title or "cut plan"))
        canvas.setViewerPreference("PrintScaling", "None")
        layers = add_layers(canvas, plan)
        check_page(canvas, SIZE if values["paper"] == "bed" else paper, len(shown))
        joins, names = marks(shown), _names(plan, boxes)
        for count, page in enumerate(shown, start=1):
            canvas.setPageSize((paper[0] * _POINT, paper[1] * _POINT))
            words = f"page {count} of {len(shown)} (row {page.row}, column {page.column})"
            if plan.title:
                words = f"{comment(plan.title)}: {words}"
            margin = float(values["margin_mm"])
            _words(canvas, page, margin, joins, words)
            _page(canvas, plan, boxes, page, margin, names)
            name_layers(canvas, layers)
        canvas.save()
        losses = ["PDF draws arcs as cubic curves within 0.002 mm."]
        if len(plan.stops) > 1:
            losses.append("PDF files hold no stops: the run sheet lists them.")
        return Written(target.getvalue(), tuple(losses), pages=len(shown))


def _pages(
    plan: CutPlan, boxes: Sequence[Bounds], values: Mapping[str, Any]
) -> tuple[tuple[float, float], list[Page]]:
    """Return the paper, mm, and the pages that are not empty; at least one.

    The paper's orientation is the one that needs fewer sheets. Sheets cover the bed from its upper
    left corner, or only what is drawn, if that takes fewer: a bed of the paper's own size takes one
    although its outermost part cannot be printed. A bed longer than the largest page takes several.
    """
    bed = (plan.bed_width, plan.bed_height)
    margin, overlap = float(values["margin_mm"]), float(values["overlap_mm"])
    if values["paper"] == "bed":
        papers = [_longest(bed, margin)]
    else:
        paper = _PAPERS_MM[values["paper"]]
        papers = [paper, paper[::-1]]
    laid, counts = [], []
    for paper in papers:
        sheet = (paper[0] - 2.0 * margin, paper[1] - 2.0 * margin)
        grids = [pages(bed, sheet, overlap)]
        if boxes and values["paper"] != "bed":
            grids.append(pages_over(_with_lines(boxes), bed, sheet, overlap))
        for count, every in grids:
            counts.append(count)
            if count <= MAX_PAGES:
                some = list(every)
                used = [page for page in some if any(touches(page.part, box) for box in boxes)]
                laid.append((paper, used or some[:1]))
    if not laid:
        raise CannotHoldError(
            f"This bed takes {min(counts)} pages; {MAX_PAGES} is the most. Use paper bed.",
            format_name="pdf",
        )
    return min(laid, key=lambda each: len(each[1]))


def _with_lines(boxes: Sequence[Bounds]) -> Bounds:
    """Return the box of all strokes, with half the width of their lines."""
    box, half = Bounds.around(boxes), _LINE / _POINT / 2.0
    return Bounds(box.left - half, box.bottom - half, box.right + half, box.top + half)


def _longest(bed: tuple[float, float], margin: float) -> tuple[float, float]:
    width, height = (min(side + 2.0 * margin, _LARGEST_MM) for side in bed)
    return width, height


def _box(stroke: Stroke) -> Bounds:
    return Bounds.around(part.bounds() for part in stroke.segments)


def _words(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    page: Page,
    margin: float,
    joins: Sequence[Mark],
    words: str,
) -> None:
    """Write the page's number, and draw the crosses of its joins."""
    part = page.part
    canvas.setFont("Helvetica", 8)
    # Inside the printable area for any margin, and between the crosses of a join.
    across, up = margin + _WORDS_AT * part.width, max(margin, 5.0)
    canvas.drawString(across * _POINT, up * _POINT + 2.0, words)
    draw_marks(canvas, part, margin, joins)


def _names(plan: CutPlan, boxes: Sequence[Bounds]) -> list[tuple[str, Bounds]]:
    """Return the name of each placed piece with the box of its outline."""
    found: dict[int, tuple[str, list[Bounds]]] = {}
    for stroke, box in zip(plan.strokes, boxes, strict=True):
        if stroke.placement is not None and stroke.piece and stroke.part == "outline":
            name = f"{comment(stroke.piece, 24)} {stroke.placement + 1}"
            found.setdefault(stroke.placement, (name, []))[1].append(box)
    return [(name, Bounds.around(some)) for name, some in found.values()]


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
    boxes: Sequence[Bounds],
    page: Page,
    margin: float,
    names: Sequence[tuple[str, Bounds]],
) -> None:
    part = page.part
    dx, dy = margin - part.left, margin - part.bottom
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(margin * _POINT, margin * _POINT, part.width * _POINT, part.height * _POINT)
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
    canvas.addLiteral(f"/Part <</Left {number(part.left)} /Bottom {number(part.bottom)}>> BDC")
    # Round joins: with mitres, a sharp tip would extend beyond the cut.
    canvas.addLiteral(f"{_LINE} w 1 j 0 G")
    shown = (
        (index, stroke)
        for index, (stroke, box) in enumerate(zip(plan.strokes, boxes, strict=True))
        if touches(part, box)
    )
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
