"""PDF at true size, for people who print and cut by hand; larger beds over several pages.

Source:
    ISO 32000-1:2008: user space of 1/72 in, path operators m, l, c, h, S, marked content,
    optional content (8.11); the viewer preference PrintScaling came with PDF 1.6. A circle's cubic
    of at most 45 degrees stands off by 4.3e-6 of the radius.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from adapters.contract import CONTRACT, Kept, Setting, Written, resolved
from adapters.errors import CannotHoldError
from adapters.names import comment, layer_of
from adapters.numbers import number, require_finite
from adapters.split import short_arcs
from geometry.model.plan import CutPlan, Stroke
from geometry.model.segments import Arc, Bounds
from geometry.units import MM_PER_INCH, POINTS_PER_INCH

_POINT = POINTS_PER_INCH / MM_PER_INCH
_PAPERS_MM = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
_MOST_PAGES = 400
#: Largest page, mm: 14,400 points, beyond which viewers differ.
_LARGEST_MM = 5080.0
_EIGHTH = math.pi / 4.0
#: Dashes of what is not cut, points.
_DASHES = {"cut": "[] 0 d", "score": "[6 3] 0 d", "mark": "[1 2] 0 d"}


@dataclass(frozen=True)
class _Tile:
    """A page's part of the bed, mm, and where it stands among the others."""

    row: int
    column: int
    part: Bounds


class PdfAdapter:
    """Writes PDF."""

    contract = CONTRACT
    name = "pdf"
    title = "PDF, true size, to print and cut by hand"
    media_type = "application/pdf"
    extension = "pdf"
    keeps: frozenset[Kept] = frozenset({"operations", "stations", "order"})
    resolution = 0.002
    settings: tuple[Setting, ...] = (
        Setting(
            "paper",
            "choice",
            "letter, a4, or bed: one page as large as the bed (roll printers)",
            default="letter",
            choices=("letter", "a4", "bed"),
        ),
        Setting(
            "margin_mm",
            "number",
            "what the printer leaves blank on each side",
            default=6.35,
            minimum=0.0,
            maximum=40.0,
        ),
        Setting(
            "overlap_mm",
            "number",
            "how far neighbouring pages repeat each other",
            default=10.0,
            minimum=0.0,
            maximum=60.0,
        ),
    )

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the plan as a PDF: a check page, then the bed over as many pages as it takes.

        Raises:
            SettingError: for a setting that is unknown or out of its bounds.
            CannotHoldError: for a coordinate that is not finite, or a bed of too many pages.
        """
        values = resolved(self.settings, settings, self.name)
        require_finite(plan)
        paper, tiles = _tiles(plan, values)
        # Imported here: only those who ask for PDF wait for it.
        from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415

        target = io.BytesIO()
        canvas = Canvas(
            target,
            pagesize=(paper[0] * _POINT, paper[1] * _POINT),
            pdfVersion=(1, 6),
            invariant=1,
        )
        canvas.setTitle(comment(plan.title or "cut plan"))
        canvas.setViewerPreference("PrintScaling", "None")
        layers = _add_layers(canvas, plan)
        _check_page(canvas, paper, len(tiles))
        boxes = [_box(stroke) for stroke in plan.strokes]
        for tile in tiles:
            _page(canvas, plan, boxes, tile, float(values["margin_mm"]), len(tiles))
            _name_layers(canvas, layers)
        canvas.save()
        losses = ["pdf draws arcs as cubic curves within 0.002 mm."]
        if len(plan.stops) > 1:
            losses.append("pdf holds no stops: the run sheet lists them.")
        return Written(target.getvalue(), tuple(losses))


def _tiles(plan: CutPlan, values: Mapping[str, Any]) -> tuple[tuple[float, float], list[_Tile]]:
    width, height = plan.bed_width, plan.bed_height
    margin = float(values["margin_mm"])
    if values["paper"] == "bed":
        paper = (width + 2.0 * margin, height + 2.0 * margin)
        if max(paper) > _LARGEST_MM:
            raise CannotHoldError(
                f"A PDF page is at most {_LARGEST_MM:g} mm; choose letter or a4.", format_name="pdf"
            )
        return paper, [_Tile(1, 1, Bounds(0.0, 0.0, width, height))]
    paper = _PAPERS_MM[values["paper"]]
    step = [side - 2.0 * margin - float(values["overlap_mm"]) for side in paper]
    columns = max(1, math.ceil((width - float(values["overlap_mm"])) / step[0] - 1e-9))
    rows = max(1, math.ceil((height - float(values["overlap_mm"])) / step[1] - 1e-9))
    if rows * columns > _MOST_PAGES:
        raise CannotHoldError(
            f"This bed takes {rows * columns} pages; {_MOST_PAGES} is the most. Use paper bed.",
            format_name="pdf",
        )
    tiles = []
    for row in range(rows):
        for column in range(columns):
            left, top = column * step[0], height - row * step[1]
            part = Bounds(
                left, top - (paper[1] - 2.0 * margin), left + paper[0] - 2.0 * margin, top
            )
            tiles.append(_Tile(row + 1, column + 1, part))
    return paper, tiles


def _add_layers(canvas: Any, plan: CutPlan) -> dict[str, Any]:  # noqa: ANN401 - reportlab's
    """Add an optional content group for each kind of work, on as the file opens.

    Returns:
        References to the groups by layer name, in cutting order.
    """
    from reportlab.pdfbase import pdfdoc  # noqa: PLC0415 - as above

    document = canvas._doc  # noqa: SLF001 - the library has no door to optional content
    groups = {}
    for layer in dict.fromkeys(layer_of(stroke) for stroke in plan.strokes):
        group = pdfdoc.PDFDictionary(
            {"Type": pdfdoc.PDFName("OCG"), "Name": pdfdoc.PDFString(layer)}
        )
        groups[layer] = document.Reference(group, f"layer-{layer}")
    everything = pdfdoc.PDFArray(list(groups.values()))
    document.Catalog.__NoDefault__ = [*document.Catalog.__NoDefault__, "OCProperties"]
    document.Catalog.OCProperties = pdfdoc.PDFDictionary(
        {"OCGs": everything, "D": pdfdoc.PDFDictionary({"Order": everything, "ON": everything})}
    )
    return groups


def _name_layers(canvas: Any, layers: Mapping[str, Any]) -> None:  # noqa: ANN401 - reportlab's
    """Give the page that was shown last the names that its content calls layers by."""
    from reportlab.pdfbase import pdfdoc  # noqa: PLC0415 - as above

    resources = pdfdoc.PDFResourceDictionary(Properties=dict(layers))
    resources.basicFonts()
    canvas._doc.Pages[-1].Resources = resources  # noqa: SLF001 - as above


def _box(stroke: Stroke) -> Bounds:
    boxes = [part.bounds() for part in stroke.segments]
    return Bounds(
        min(box.left for box in boxes),
        min(box.bottom for box in boxes),
        max(box.right for box in boxes),
        max(box.top for box in boxes),
    )


def _check_page(canvas: Any, paper: tuple[float, float], pages: int) -> None:  # noqa: ANN401
    """Draw the square, the bar and the rulers to measure a print by, with the words."""
    left, top = 20.0 * _POINT, (paper[1] - 20.0) * _POINT
    canvas.setFont("Helvetica-Bold", 16)
    canvas.drawString(left, top, "Check this page before you cut")
    canvas.setFont("Helvetica", 11)
    lines = (
        "Print at 100 % (actual size), never fitted to the page.",
        "The square must measure 1 in (25.4 mm) each way, the bar 100 mm.",
        "If they do not, set printing to 100 % and print again; do not cut.",
        f"{pages} page(s) follow. Join them where their corner marks meet.",
        "Full lines are cut; dashed lines are creased; dotted lines are drawn only.",
        "Cut away from the body, free hand out of the path, blade closed after every cut.",
        "The tool's own manual and the rules of your workplace come first.",
    )
    for row, line in enumerate(lines):
        canvas.drawString(left, top - (22 + 15 * row), line)
    y = top - 190
    canvas.setLineWidth(0.5)
    canvas.rect(left, y - 72.0, 72.0, 72.0)
    canvas.line(left, y - 100.0, left + 100.0 * _POINT, y - 100.0)
    for end in (0.0, 100.0):
        canvas.line(left + end * _POINT, y - 105.0, left + end * _POINT, y - 95.0)
    canvas.drawString(left + 100.0 * _POINT + 8.0, y - 104.0, "100 mm")
    _ruler(canvas, left, y - 150.0, 72.0 / 8.0, 48, 8, "in")
    _ruler(canvas, left, y - 200.0, _POINT, 150, 10, "cm")
    canvas.showPage()


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


def _page(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    plan: CutPlan,
    boxes: list[Bounds],
    tile: _Tile,
    margin: float,
    pages: int,
) -> None:
    part = tile.part
    dx, dy = margin - part.left, margin - part.bottom
    canvas.setFont("Helvetica", 8)
    words = f"{comment(plan.title, 40)} row {tile.row}, column {tile.column} of {pages} page(s)"
    canvas.drawString(margin * _POINT + 10.0, max(2.0, margin * _POINT - 10.0), words)
    _join_marks(canvas, margin, part)
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(margin * _POINT, margin * _POINT, part.width * _POINT, part.height * _POINT)
    canvas.clipPath(frame, stroke=0, fill=0)
    # A reader finds here which part of the bed the page shows.
    canvas.addLiteral(f"/Part <</Left {number(part.left)} /Bottom {number(part.bottom)}>> BDC")
    # Round joins: a sharp tip ends where the cut does.
    canvas.addLiteral("0.7 w 1 j 0 G")
    for index, (stroke, box) in enumerate(zip(plan.strokes, boxes, strict=True)):
        if box.right < part.left or box.left > part.right:
            continue
        if box.top < part.bottom or box.bottom > part.top:
            continue
        canvas.addLiteral(f"/Stroke <</N {index} /Kind /{layer_of(stroke)}>> BDC")
        canvas.addLiteral(f"/OC /{layer_of(stroke)} BDC")
        canvas.addLiteral(_DASHES[stroke.operation])
        canvas.addLiteral(" ".join(_operators(stroke, dx, dy)))
        canvas.addLiteral("EMC EMC")
    canvas.addLiteral("EMC")
    canvas.restoreState()
    canvas.showPage()


def _join_marks(canvas: Any, margin: float, part: Bounds) -> None:  # noqa: ANN401
    """Draw a corner at each corner of the page's part of the bed."""
    canvas.setLineWidth(0.3)
    for x, y, sx, sy in (
        (margin, margin, 1, 1),
        (margin + part.width, margin, -1, 1),
        (margin, margin + part.height, 1, -1),
        (margin + part.width, margin + part.height, -1, -1),
    ):
        canvas.line(x * _POINT, y * _POINT, (x + 5 * sx) * _POINT, y * _POINT)
        canvas.line(x * _POINT, y * _POINT, x * _POINT, (y + 5 * sy) * _POINT)


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
