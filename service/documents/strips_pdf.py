"""Drawings of the strips of a fabric on printed pages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reportlab.platypus import Flowable, KeepTogether, Spacer

from geometry.model.cutter import WorkArea
from geometry.model.segments import Bounds
from service.documents.pictures import looks
from service.documents.pictures.strips import MAX_DRAWN, DrawnStrip
from service.documents.plain import paragraph
from service.documents.sketch import Shape, Sketch
from service.documents.sketch_pdf import MM, SketchDrawing
from service.documents.typesetting import BODY
from service.texts import gettext as _

#: Of a drawing's line at both sides, and the height of the highest strip, points.
_ROOM, _MAX_HEIGHT = 4.0, 400.0


def drawn_strips(strips: Sequence[DrawnStrip], width: float) -> Iterator[Flowable]:
    """Yield the strips of one fabric, all in one scale, none higher than a page."""
    if not strips:
        return
    drawn = strips[:MAX_DRAWN]
    longest, highest = (max(getattr(each, of) for each in drawn) for of in ("length", "height"))
    scale = min((width - _ROOM) / longest, _MAX_HEIGHT / highest)
    for strip in drawn:
        drawing = SketchDrawing(_sketch(strip, scale / MM))
        yield KeepTogether([Spacer(1, 4), paragraph(strip.title, BODY), drawing])
    if len(strips) > MAX_DRAWN:
        yield paragraph(_("and {count} more", count=len(strips) - MAX_DRAWN), BODY)


def _sketch(strip: DrawnStrip, scale: float) -> Sketch:
    """Return the drawing of a strip of fabric with the pieces in it."""
    box = Bounds(0.0, 0.0, strip.length, strip.height)
    cloth = WorkArea.rectangle(0.0, 0.0, strip.length, strip.height).boundary
    return Sketch(
        box,
        scale,
        strip.title,
        ground=(
            Shape((cloth,), looks.SHEET),
            *(Shape((piece,), looks.PATCH) for piece in strip.pieces),
        ),
    )
