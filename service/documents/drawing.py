"""Small drawings for the PDF run sheet: loads, pieces, the check square, a blade's dial."""

from __future__ import annotations

import math
from collections.abc import Iterable
from string import ascii_lowercase

from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from geometry.measure import centroid
from geometry.model.outline import Outline
from geometry.model.segments import Arc
from service.documents.model import SheetLoad, SheetPiece
from service.documents.on_the_bed import within_bed
from service.documents.pictures.strips import DrawnStrip
from service.documents.type_face import REGULAR, shown

_MM = 72.0 / 25.4
#: Widest line, as a share of a piece's width.
_MAX_LINE = 0.05
#: Smaller letters than this, points, are more than print can hold.
_SMALLEST_LETTER = 4.0
#: Maximum arc per cubic, rad; the deviation is 4e-6 of the radius.
_STEP = math.pi / 4.0


def trace(path: PDFPathObject, outline: Outline) -> None:
    """Add an outline to a path, arcs as cubics."""
    path.moveTo(*outline.segments[0].start)
    for part in outline.segments:
        if not isinstance(part, Arc):
            path.lineTo(*part.end)
            continue
        count = max(1, math.ceil(abs(part.sweep) / _STEP))
        for index in range(count):
            piece = part.between(index / count, (index + 1) / count)
            reach = 4.0 / 3.0 * math.tan(abs(piece.sweep) / 4.0) * piece.radius
            a, b = piece.start_heading, piece.end_heading
            path.curveTo(
                piece.start.x + reach * math.cos(a),
                piece.start.y + reach * math.sin(a),
                piece.end.x - reach * math.cos(b),
                piece.end.y - reach * math.sin(b),
                piece.end.x,
                piece.end.y,
            )
    path.close()


class CheckSquare(Flowable):  # type: ignore[misc]
    """A square of a stated side, mm, for checking a print."""

    def __init__(self, side: float) -> None:
        super().__init__()
        self.side = side * _MM

    def wrap(self, *_: float) -> tuple[float, float]:
        """Return its size in points."""
        return self.side + 4.0, self.side + 4.0

    def draw(self) -> None:
        """Draw it."""
        self.canv.setLineWidth(0.5)
        self.canv.rect(2.0, 2.0, self.side, self.side)


class Dial(Flowable):  # type: ignore[misc]
    """A blade's angle as a small dial: the circle, its level axis and the blade."""

    def __init__(self, angle_deg: float) -> None:
        super().__init__()
        self.angle_deg = angle_deg

    def wrap(self, *_: float) -> tuple[float, float]:
        """Return its size in points."""
        return 34.0, 34.0

    def draw(self) -> None:
        """Draw it."""
        canvas: Canvas = self.canv
        canvas.setLineWidth(0.6)
        canvas.circle(17.0, 17.0, 15.0)
        canvas.setDash(1, 2)
        canvas.line(2.0, 17.0, 32.0, 17.0)
        canvas.setDash()
        x, y = (13.0 * f(math.radians(self.angle_deg)) for f in (math.cos, math.sin))
        canvas.setLineWidth(2.4)
        canvas.line(17.0 - x, 17.0 - y, 17.0 + x, 17.0 + y)


class _Scaled(Flowable):  # type: ignore[misc]
    """A drawing in mm, scaled into a box of points."""

    def __init__(self, box: tuple[float, float, float, float], most: tuple[float, float]) -> None:
        super().__init__()
        left, bottom, right, top = box
        self.box = box
        self.scale = min(most[0] / (right - left), most[1] / (top - bottom), _MM)

    def wrap(self, *_: float) -> tuple[float, float]:
        """Return its size in points."""
        left, bottom, right, top = self.box
        return (right - left) * self.scale + 2.0, (top - bottom) * self.scale + 2.0

    def begin(self) -> None:
        """Turn the canvas's units into mm of the drawing."""
        self.canv.translate(1.0 - self.box[0] * self.scale, 1.0 - self.box[1] * self.scale)
        self.canv.scale(self.scale, self.scale)

    def outlines(self, outlines: Iterable[Outline], *, fill: float | None, line: float) -> None:
        """Draw outlines; ``fill`` is a grey from 0 to 1, ``line`` a width in points."""
        canvas: Canvas = self.canv
        path = canvas.beginPath()
        finest = line / self.scale
        for outline in outlines:
            trace(path, outline)
            # Otherwise tiny pieces would consist of lines only.
            box = outline.bounds
            finest = min(finest, _MAX_LINE * min(box.width, box.height))
        canvas.setLineWidth(finest)
        if fill is not None:
            canvas.setFillGray(fill)
        canvas.drawPath(path, stroke=1, fill=0 if fill is None else 1)
        canvas.setFillGray(0.0)


class LoadDrawing(_Scaled):
    """A load on its bed, the work area dashed, keep-outs grey, every piece with its id."""

    def __init__(self, load: SheetLoad, most: tuple[float, float]) -> None:
        bed = load.ground.bed
        super().__init__((0.0, 0.0, bed.width, bed.height), most)
        self.load = load
        #: What stands for the ids that have no room on some outline, by id.
        self.keys = self._keys()

    def draw(self) -> None:
        """Draw it."""
        self.begin()
        canvas: Canvas = self.canv
        canvas.setFillGray(0.9)
        canvas.setLineWidth(0.6 / self.scale)
        ground = self.load.ground
        bed = ground.bed
        canvas.rect(0.0, 0.0, bed.width, bed.height, fill=1)
        if bed.boundary is not None:
            self.outlines([bed.boundary], fill=0.95, line=0.6)
        if bed.keep_outs:
            self.outlines(bed.keep_outs, fill=0.7, line=0.5)
        if ground.sheet is not None:
            # Only within the bed; the text describes what hangs over.
            self.outlines([within_bed(ground.sheet, bed)], fill=0.95, line=0.6)
        canvas.setDash(3.0 / self.scale, 2.0 / self.scale)
        self.outlines([ground.area.boundary], fill=1.0, line=0.5)
        canvas.setDash()
        if ground.area.keep_outs:
            self.outlines(ground.area.keep_outs, fill=0.9, line=0.5)
        self.outlines((outline for _, outline in self.load.placed), fill=0.97, line=0.5)
        self._motifs()
        for piece, outline in self.load.placed:
            self._label(piece, outline)

    def _motifs(self) -> None:
        """Draw a small ring about the middle of every motif."""
        canvas: Canvas = self.canv
        canvas.setLineWidth(0.4 / self.scale)
        for x, y in self.load.ground.motifs:
            canvas.circle(x, y, 1.5 / self.scale)

    def _label(self, piece: str, outline: Outline) -> None:
        text = self.keys.get(piece, piece)
        size = self._letter(text, outline)
        if not size:
            return
        middle = centroid(outline)
        self.canv.setFont(REGULAR, size)
        self.canv.drawCentredString(middle.x, middle.y - 0.35 * size, shown(text))

    def _letter(self, text: str, outline: Outline) -> float:
        """Return the height of a text's letters on an outline, mm; 0 where print cannot hold it."""
        box = outline.bounds
        size = min(8.0 / self.scale, 0.4 * box.height, 1.1 * box.width / max(1, len(text)))
        return size if size * self.scale >= _SMALLEST_LETTER else 0.0

    def _keys(self) -> dict[str, str]:
        """Return single letters for the ids that do not fit on all their outlines."""
        wide = [name for name, outline in self.load.placed if not self._letter(name, outline)]
        taken = {name.lower() for name, _ in self.load.placed}
        free = (letter for letter in ascii_lowercase if letter not in taken)
        return dict(zip(dict.fromkeys(wide), free, strict=False))


class PieceDrawing(_Scaled):
    """A piece: its patch, with its template dashed inside."""

    def __init__(self, piece: SheetPiece, most: tuple[float, float]) -> None:
        box = piece.patch.bounds
        super().__init__((box.left, box.bottom, box.right, box.top), most)
        self.piece = piece

    def draw(self) -> None:
        """Draw it."""
        self.begin()
        self.outlines([self.piece.patch], fill=0.97, line=0.7)
        self.canv.setDash(2.0 / self.scale, 1.5 / self.scale)
        self.outlines([self.piece.template], fill=None, line=0.7)
        self.canv.setDash()


class OutlineDrawing(_Scaled):
    """One outline alone."""

    def __init__(self, outline: Outline, most: tuple[float, float]) -> None:
        box = outline.bounds
        super().__init__((box.left, box.bottom, box.right, box.top), most)
        self.outline = outline

    def draw(self) -> None:
        """Draw it."""
        self.begin()
        self.outlines([self.outline], fill=0.97, line=0.7)


class StripDrawing(_Scaled):
    """A strip of fabric with the pieces in it; the scale is in points per mm."""

    def __init__(self, strip: DrawnStrip, scale: float) -> None:
        box = (0.0, 0.0, strip.length, strip.height)
        super().__init__(box, (strip.length * scale, strip.height * scale))
        self.strip = strip

    def draw(self) -> None:
        """Draw it."""
        self.begin()
        self.canv.setLineWidth(0.5 / self.scale)
        self.canv.setFillGray(0.97)
        self.canv.rect(0.0, 0.0, self.strip.length, self.strip.height, fill=1)
        self.outlines(self.strip.pieces, fill=0.88, line=0.5)
