"""A drawing as an SVG document of its own, on white, with a title for those who cannot see it."""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

from service.documents.pictures.path import number
from service.documents.sketch import Sketch, drawn_svg

#: White about the drawing, mm.
_PAD = 2.0


def sketch_document(sketch: Sketch) -> str:
    """Return a drawing as an SVG element that can stand alone, sized in mm."""
    box, pad = sketch.box, _PAD / sketch.scale
    left, top = box.left - pad, -box.top - pad
    width, height = box.width + 2.0 * pad, box.height + 2.0 * pad
    size = f'width="{number(width * sketch.scale)}mm" height="{number(height * sketch.scale)}mm"'
    view = " ".join(number(each) for each in (left, top, width, height))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="{view}" role="img" '
        f"aria-label={quoteattr(sketch.title)}><title>{escape(sketch.title)}</title>"
        f'<rect x="{number(left)}" y="{number(top)}" width="{number(width)}" '
        f'height="{number(height)}" fill="#fff"/>'
        f'<g transform="scale(1 -1)">{drawn_svg(sketch, reuse=True)}</g></svg>'
    )
