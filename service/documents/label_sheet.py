"""A sheet of labels: pages of equal boxes, on plain paper to be cut apart or on labels."""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import dataclass

from reportlab.pdfgen.canvas import Canvas

from geometry.model.outline import Outline
from service.documents.label_code import code_side, draw_code
from service.documents.label_text import LabelText, draw_lines
from service.documents.model import RunSheet
from service.documents.sketch_pdf import MM, SketchDrawing
from service.documents.sketches import outline_sketch
from service.documents.type_face import REGULAR
from service.documents.typesetting import MARGIN, PAPERS
from service.texts import gettext as _

_COLUMNS = 2
#: Between a label's edge and its text, points; less on low labels.
_PAD = 8.0
#: Largest and smallest side of a picture, points.
_PICTURE, _SMALLEST_PICTURE = 72.0, 24.0


@dataclass(frozen=True)
class Grid:
    """Places of labels on a page, points; ``cut_lines`` are drawn on plain paper."""

    columns: int
    rows: int
    left: float
    top: float
    width: float
    height: float
    across: float
    down: float
    cut_lines: bool

    @property
    def smallest(self) -> float:
        """Return the smallest letters, points: bought labels are small, plain paper is not."""
        return 10.0 if self.cut_lines else 6.5

    def place(self, index: int) -> tuple[float, float]:
        """Return the left and the top edge of a page's label, the latter from the paper's top."""
        row, column = divmod(index, self.columns)
        return self.left + column * self.across, self.top + row * self.down


@dataclass(frozen=True)
class LabelDrawing:
    """One label as it is drawn: its lines, and an outline or none."""

    lines: tuple[LabelText, ...]
    outline: Outline | None
    cut: str = "patch"


@dataclass(frozen=True)
class Box:
    """What stands where on a label, points from its lower left corner.

    ``picture`` and ``code`` are left, bottom and side; ``text`` is the text's left and top,
    ``room`` its width and height.
    """

    picture: tuple[float, float, float] | None
    code: tuple[float, float, float]
    text: tuple[float, float]
    room: tuple[float, float]


def grid_of(sheet: RunSheet, rows: int) -> Grid:
    """Return where labels stand: on the sheet that is asked for, or in so many rows."""
    asked = sheet.labels.sheet
    if asked is not None:
        return Grid(
            columns=asked.columns,
            rows=asked.rows,
            left=asked.left * MM,
            top=asked.top * MM,
            width=asked.width * MM,
            height=asked.height * MM,
            across=(asked.width + asked.column_gap) * MM,
            down=(asked.height + asked.row_gap) * MM,
            cut_lines=False,
        )
    paper = PAPERS[sheet.paper]
    width = (paper[0] - 2 * MARGIN) / _COLUMNS
    height = (paper[1] - 2 * MARGIN) / rows
    return Grid(_COLUMNS, rows, MARGIN, MARGIN, width, height, width, height, cut_lines=True)


def box_of(sheet: RunSheet, grid: Grid, *, picture: bool) -> Box:
    """Return how a label's room is shared between text, code and picture.

    The code stands below the picture where both have room there, else at the right.
    """
    pad = min(_PAD, 0.06 * grid.height)
    side = code_side(sheet.labels.code(sheet.number))
    inner = grid.height - 2 * pad
    # The code has a free margin of its own.
    if not picture:
        code = (grid.width - side, grid.height - side, side)
        return Box(None, code, (pad, grid.height - pad), (grid.width - 2 * pad - side, inner))
    below = min(_PICTURE, inner - side)
    if below >= _PICTURE / 2:
        column = max(below, side)
        left = 2 * pad + column
        image = (pad + (column - below) / 2, grid.height - pad - below, below)
        code = (pad + (column - side) / 2, pad, side)
        return Box(image, code, (left, grid.height - pad), (grid.width - left - pad, inner))
    small = max(_SMALLEST_PICTURE, min(_PICTURE, inner, 0.2 * grid.width))
    left = 2 * pad + small
    image = (pad, (grid.height - small) / 2, small)
    code = (grid.width - side, (grid.height - side) / 2, side)
    room = (grid.width - left - side - pad / 2, inner)
    return Box(image, code, (left, grid.height - pad), room)


def label_sheet_pdf(sheet: RunSheet, grid: Grid, box: Box, labels: Iterable[LabelDrawing]) -> bytes:
    """Return labels as a PDF; the same sheet gives the same bytes."""
    asked = sheet.labels.sheet
    paper = PAPERS[asked.paper if asked is not None else sheet.paper]
    target = io.BytesIO()
    canvas = Canvas(target, pagesize=paper, invariant=1, pdfVersion=(1, 6), initialFontName=REGULAR)
    canvas.setTitle(_("{title}: labels", title=sheet.title))
    canvas.setCatalogEntry("Lang", sheet.language)
    canvas.setAuthor("quarterseam")
    canvas.setViewerPreference("PrintScaling", "None")
    code = sheet.labels.code(sheet.number)
    for index, label in enumerate(labels):
        place = index % (grid.columns * grid.rows)
        if index and place == 0:
            canvas.showPage()
        left, top = grid.place(place)
        canvas.saveState()
        canvas.translate(left, paper[1] - top - grid.height)
        if grid.cut_lines:
            canvas.setLineWidth(0.3)
            canvas.setDash(2, 2)
            canvas.rect(0.0, 0.0, grid.width, grid.height)
            canvas.setDash()
        _draw(canvas, box, label, code)
        canvas.restoreState()
    canvas.showPage()
    canvas.save()
    return target.getvalue()


def _draw(canvas: Canvas, box: Box, label: LabelDrawing, code: str) -> None:
    draw_code(canvas, code, box.code[0], box.code[1])
    if label.outline is not None and box.picture is not None:
        left, bottom, side = box.picture
        room = (side - 4.0) / MM
        drawing = SketchDrawing(outline_sketch(label.outline, (room, room), label.cut))
        wide, high = drawing.wrap()
        drawing.drawOn(canvas, left + (side - wide) / 2, bottom + (side - high) / 2)
    draw_lines(canvas, label.lines, *box.text)
