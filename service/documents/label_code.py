"""The square code on a label (QR Code, ISO/IEC 18004), made by the typesetter's library."""

from __future__ import annotations

from functools import lru_cache

from reportlab.graphics.barcode import qrencoder
from reportlab.pdfgen.canvas import Canvas

#: Side of a module, points: 0.42 mm, which a phone reads at arm's length from a home printer.
_MODULE = 1.2
#: Free modules about the code, as the standard asks.
_QUIET = 4


def code_side(text: str) -> float:
    """Return the side of a text's code with its quiet zone, points."""
    return (len(_modules(text)) + 2 * _QUIET) * _MODULE


def draw_code(canvas: Canvas, text: str, x: float, y: float) -> None:
    """Draw a text's code with the lower left corner of its quiet zone at a place, points."""
    rows = _modules(text)
    side = code_side(text)
    path = canvas.beginPath()
    for row, modules in enumerate(rows):
        column = 0
        while column < len(modules):
            end = column
            while end < len(modules) and modules[end]:
                end += 1
            if end > column:
                left = x + (column + _QUIET) * _MODULE
                bottom = y + side - (row + 1 + _QUIET) * _MODULE
                path.rect(left, bottom, (end - column) * _MODULE, _MODULE)
            column = end + 1
    canvas.drawPath(path, stroke=0, fill=1)


@lru_cache(maxsize=64)
def _modules(text: str) -> tuple[tuple[bool, ...], ...]:
    code = qrencoder.QRCode(None, qrencoder.QRErrorCorrectLevel.M)
    code.addData(text)
    code.make()
    return tuple(tuple(bool(module) for module in row) for row in code.modules)
