"""Drawings on printed pages: sketches, the check square, boxes to tick."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache

from reportlab.lib.colors import Color, black, toColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from geometry.model.outline import Chain, Outline
from geometry.model.segments import Arc, Bounds
from geometry.model.transform import Rigid, cos_sin_deg
from service.documents.pictures.looks import INK
from service.documents.sketch import Hatching, Shape, Sketch, Words
from service.documents.sketches import LoadSketch
from service.documents.type_face import REGULAR, shown

MM = 72.0 / 25.4
#: Widest line, as a share of the smaller side of the smallest outline drawn with it.
_MAX_LINE = 0.05
#: Maximum arc per cubic, rad; the deviation is 4e-6 of the radius.
_STEP = math.pi / 4.0
_EVEN_ODD = 0
#: Room about a drawing, points.
_PAD = 2.0


@lru_cache(maxsize=256)
def _colour(name: str) -> Color:
    # The library makes a table of all its colours' names for each text that it is given.
    return toColor(name)


def trace(path: PDFPathObject, line: Outline | Chain) -> None:
    """Add a line to a path, arcs as cubics."""
    path.moveTo(*line.segments[0].start)
    for part in line.segments:
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
    if isinstance(line, Outline):
        path.close()


class SketchDrawing(Flowable):  # type: ignore[misc]
    """A sketch at its scale, with room all round for the width of its lines."""

    def __init__(self, sketch: Sketch) -> None:
        super().__init__()
        self.sketch = sketch
        self.scale = sketch.scale * MM

    def wrap(self, *_: float) -> tuple[float, float]:
        """Return its size in points."""
        box = self.sketch.box
        return box.width * self.scale + 2 * _PAD, box.height * self.scale + 2 * _PAD

    def draw(self) -> None:
        """Draw it."""
        canvas: Canvas = self.canv
        box = self.sketch.box
        canvas.translate(_PAD - box.left * self.scale, _PAD - box.bottom * self.scale)
        canvas.scale(self.scale, self.scale)
        if self.sketch.is_part:
            self._clip(box)
        self._shapes(self.sketch.ground)
        canvas.saveState()
        if self.sketch.trimmed_to is not None:
            self._clip(self.sketch.trimmed_to)
        for each in self.sketch.copies:
            traced = [(shape, self._path(shape)) for shape in each.shapes]
            for move in each.moves:
                canvas.saveState()
                canvas.transform(*_matrix(move))
                for shape, path in traced:
                    self._draw(shape, path)
                canvas.restoreState()
        for hatching in self.sketch.hatchings:
            if hatching.is_trimmed:
                self._hatch(hatching)
        canvas.restoreState()
        for hatching in self.sketch.hatchings:
            if not hatching.is_trimmed:
                self._hatch(hatching)
        self._shapes(self.sketch.top)
        for words in self.sketch.words:
            self._words(words)

    def _clip(self, box: Bounds) -> None:
        part = self.canv.beginPath()
        part.rect(box.left, box.bottom, box.width, box.height)
        self.canv.clipPath(part, stroke=0, fill=0)

    def _shapes(self, shapes: Iterable[Shape]) -> None:
        for shape in shapes:
            self._draw(shape, self._path(shape))

    def _path(self, shape: Shape) -> PDFPathObject:
        path = self.canv.beginPath()
        for line in shape.paths:
            trace(path, line)
        return path

    def _draw(self, shape: Shape, path: PDFPathObject) -> None:
        canvas: Canvas = self.canv
        look = shape.look
        if look.fill is not None:
            canvas.setFillColor(_colour(look.fill))
        if look.line is not None:
            canvas.setStrokeColor(_colour(look.line))
            canvas.setLineWidth(self._width(shape))
            canvas.setDash([each / self.sketch.scale for each in look.dash] or [])
        canvas.drawPath(
            path,
            stroke=int(look.line is not None),
            fill=int(look.fill is not None),
            fillMode=_EVEN_ODD,
        )
        canvas.setDash()

    def _hatch(self, hatching: Hatching) -> None:
        canvas: Canvas = self.canv
        inside = canvas.beginPath()
        for outline in hatching.paths:
            trace(inside, outline)
        canvas.saveState()
        canvas.clipPath(inside, stroke=0, fill=0)
        shape = Shape(tuple(hatching.lines), hatching.look)
        self._draw(shape, self._path(shape))
        canvas.restoreState()

    def _width(self, shape: Shape) -> float:
        """Return a line's width; tiny pieces would otherwise consist of lines only."""
        width = shape.look.width / self.sketch.scale
        for line in shape.paths if shape.look.fill else ():
            box = line.bounds
            width = min(width, _MAX_LINE * min(box.width, box.height))
        return width

    def _words(self, words: Words) -> None:
        canvas: Canvas = self.canv
        canvas.saveState()
        if words.ground is not None:
            wide, high = words.ground_box
            x, y = words.at
            canvas.setFillColor(_colour(words.ground))
            canvas.rect(x - wide / 2, y - high / 2, wide, high, stroke=0, fill=1)
        canvas.setFillColor(black if words.ink == INK else _colour(words.ink))
        canvas.setFont(REGULAR, words.size)
        canvas.translate(words.at.x, words.at.y)
        if words.upright:
            canvas.rotate(90)
        draw = canvas.drawString if words.begins else canvas.drawCentredString
        draw(0.0, -0.35 * words.size, shown(words.text))
        canvas.restoreState()


class LoadDrawing(SketchDrawing):
    """A load's sketch, made only if it is drawn: most pages are only counted."""

    def __init__(self, load: LoadSketch) -> None:
        super().__init__(load.empty)
        self._load = load

    def draw(self) -> None:
        """Draw it."""
        self.sketch = self._load.sketch
        super().draw()


def _matrix(move: Rigid) -> tuple[float, float, float, float, float, float]:
    cos, sin = cos_sin_deg(move.turn_deg)
    hand = -1.0 if move.mirrored else 1.0
    return hand * cos, hand * sin, -sin, cos, move.x, move.y


class CheckSquare(Flowable):  # type: ignore[misc]
    """A square of a stated side, mm, for checking a print, with its side in words inside.

    Its side is true on a page that is drawn at ``scale``.
    """

    def __init__(self, side: float, words: str, scale: float = 1.0) -> None:
        super().__init__()
        self.side, self.words = side * MM / scale, words

    def wrap(self, *_: float) -> tuple[float, float]:
        """Return its size in points."""
        return self.side + 4.0, self.side + 4.0

    def draw(self) -> None:
        """Draw it."""
        self.canv.setLineWidth(0.5)
        self.canv.rect(2.0, 2.0, self.side, self.side)
        middle = 2.0 + self.side / 2.0
        self.canv.setFillColor(black)
        self.canv.setFont(REGULAR, 10.0)
        self.canv.drawCentredString(middle, middle - 3.5, shown(self.words))
