"""PDF at true size, for printing and cutting by hand; larger beds take several pages.

Source:
    ISO 32000-1:2008: user space of 1/72 in, path operators m, l, c, h, S, marked content, optional
    content (8.11); the viewer preference PrintScaling came with PDF 1.6. A cubic for an arc of up
    to 45 degrees deviates by 4.3e-6 of the radius.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Mapping
from functools import partial
from itertools import groupby
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from adapters.contract import CONTRACT, Kept, Setting, Written, resolved
from adapters.names import comment, layer_of
from adapters.numbers import number, numbers_in, require_finite
from adapters.page_lines import PageLines
from adapters.pages import marks
from adapters.pdf_check import SIZE, check_page, join_words
from adapters.pdf_layers import add_layers, name_layers
from adapters.pdf_marks import draw_marks, mark_boxes
from adapters.pdf_names import CHORD, numbered, piece_names
from adapters.pdf_pages import LINE_POINTS, large_pieces, page_clip, printed_pages
from adapters.pdf_words import write_names, write_page_words
from adapters.repeated_shapes import RepeatedShapes
from adapters.split import short_arcs
from adapters.whole_pages import PrintedPage, groups_of, page_numbers
from geometry.model.plan import CutPlan, Stroke
from geometry.model.segments import Arc
from geometry.sentences import said
from geometry.units import MM_PER_INCH, POINTS_PER_INCH

_POINT = POINTS_PER_INCH / MM_PER_INCH
_EIGHTH = math.pi / 4.0
#: Places for the numbers of a point, in points.
_AT = "%.5f %.5f "
#: Operators of a path with places for numbers, and the points that they take, rows x, y.
_Curves: TypeAlias = tuple[str, NDArray[np.float64]]
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
        Setting(
            "units",
            "choice",
            "of the square, bar and rulers on the check page; both: inches and millimetres; a kit "
            "sets its own units where none are stated",
            default="both",
            choices=("both", "in", "cm", "mm"),
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
        shapes = RepeatedShapes(plan.strokes)
        boxes = shapes.boxes()
        groups = groups_of(plan)
        paper, sheets = printed_pages((plan.bed_width, plan.bed_height), boxes, groups, values)
        joined = [at for at, sheet in enumerate(sheets, start=1) if sheet.is_joined]
        large = large_pieces(plan, boxes, groups, sheets)
        target = io.BytesIO()
        canvas = _canvas(target)
        canvas.setTitle(comment(plan.title or "cut plan"))
        canvas.setViewerPreference("PrintScaling", "None")
        layers = add_layers(canvas, plan)
        size, shown = SIZE if values["paper"] == "bed" else paper, str(values["units"])
        check_page(canvas, size, len(sheets), page_numbers(joined) if joined else "", large, shown)
        joins = marks([each.page for each in sheets if each.is_joined])
        ways, curves = shapes.chord_rows(CHORD), shapes.each(_curves)
        names = numbered(piece_names(plan, boxes, ways), sheets)
        for count, sheet in enumerate(sheets, start=1):
            canvas.setPageSize((paper[0] * _POINT, paper[1] * _POINT))
            margin = float(values["margin_mm"])
            drawn = sheet.drawn(groups, boxes)
            lines = PageLines(ways[at] for at in drawn)
            if sheet.is_joined:
                draw_marks(canvas, sheet.page.part, margin, joins, lines.leave_free)
                lines.keep_off(mark_boxes(joins))
            here = [each for each in names if each.is_on(sheet)]
            write_page_words(canvas, plan, sheet, margin, lines, (count, len(sheets)), here)
            write = partial(write_names, canvas, here, sheet, margin, lines)
            paths = {at: (shapes.places[at], curves[at]) for at in drawn}
            _page(canvas, plan, paths, sheet, margin, write)
            name_layers(canvas, layers)
        canvas.save()
        losses = []
        if any(vertex.bulge for stroke in plan.strokes for vertex in stroke.vertices):
            losses.append(said("PDF draws arcs as cubic curves within 0.002 mm."))
        if len(plan.stops) > 1:
            losses.append(said("PDF files hold no stops: the run sheet lists them."))
        bench = (join_words(page_numbers(joined), large),) if large else ()
        return Written(target.getvalue(), tuple(losses), len(sheets), bench)


def _canvas(target: io.BytesIO) -> Any:  # noqa: ANN401 - reportlab's canvas
    """Return a canvas whose pages are compressed.

    The library would write compressed pages in letters, which takes a quarter more bytes.
    """
    # Imported here, so that only PDF files wait for it.
    from reportlab.pdfbase import pdfdoc  # noqa: PLC0415
    from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415

    canvas = Canvas(target, pdfVersion=(1, 6), invariant=1, pageCompression=0)
    document = canvas._doc  # noqa: SLF001 - the library has no public interface to filters
    document.defaultStreamFilters = [pdfdoc.PDFZCompress]
    return canvas


def _page(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    plan: CutPlan,
    paths: Mapping[int, tuple[tuple[float, float], _Curves]],
    sheet: PrintedPage,
    margin: float,
    write: Callable[[], None],
) -> None:
    part, clip = sheet.page.part, page_clip(sheet, margin)
    dx, dy = margin - part.left, margin - part.bottom
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(clip.left * _POINT, clip.bottom * _POINT, clip.width * _POINT, clip.height * _POINT)
    canvas.clipPath(frame, stroke=0, fill=0)
    write()
    # Shows our reader which part of the bed the page shows.
    left, bottom = clip.left - dx, clip.bottom - dy
    canvas.addLiteral(f"/Part <</Left {number(left)} /Bottom {number(bottom)}>> BDC")
    # Round joins: with mitres, a sharp tip would extend beyond the cut.
    canvas.addLiteral(f"{LINE_POINTS} w 1 j 0 G")
    shown = ((index, plan.strokes[index]) for index in paths)
    kinds = groupby(shown, key=lambda pair: (layer_of(pair[1]), pair[1].operation))
    for (layer, operation), strokes in kinds:
        canvas.addLiteral(f"/OC /{layer} BDC")
        canvas.addLiteral(_DASHES[operation])
        for index, _stroke in strokes:
            canvas.addLiteral(f"/Stroke <</N {index} /Kind /{layer}>> BDC")
            (x, y), curves = paths[index]
            canvas.addLiteral(_operators(curves, x + dx, y + dy))
            canvas.addLiteral("EMC")
        canvas.addLiteral("EMC")
    canvas.addLiteral("EMC")
    canvas.restoreState()
    canvas.showPage()


def _curves(stroke: Stroke) -> _Curves:
    """Return a stroke as operators of PDF with the points they take, mm."""
    first = stroke.vertices[0]
    points, words = [(first.x, first.y)], [_AT, "m "]
    segments = list(short_arcs(stroke, _EIGHTH))
    for index, part in enumerate(segments):
        end = (part.end.x, part.end.y)
        if isinstance(part, Arc):
            reach = 4.0 / 3.0 * math.tan(abs(part.sweep) / 4.0) * part.radius
            a, b = part.start_heading, part.end_heading
            one = (part.start.x + reach * math.cos(a), part.start.y + reach * math.sin(a))
            two = (part.end.x - reach * math.cos(b), part.end.y - reach * math.sin(b))
            points += (one, two, end)
            words += (_AT, _AT, _AT, "c ")
        elif not (stroke.closed and index == len(segments) - 1):
            points.append(end)
            words += (_AT, "l ")
    words.append("h S" if stroke.closed else "S")
    return "".join(words), np.array(points)


def _operators(curves: _Curves, dx: float, dy: float) -> str:
    """Return operators moved by some mm, as a page's content has them."""
    words, points = curves
    return numbers_in(words, ((points + np.array([dx, dy])) * _POINT).ravel().tolist())


ADAPTER = PdfAdapter()
