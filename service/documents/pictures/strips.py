"""The drawing of strips across a fabric, one for each size of piece, with the pieces in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from geometry.model.outline import Outline
from service.documents.pictures.frame import framed
from service.documents.pictures.looks import INK, PATCH, SHEET
from service.documents.pictures.path import number, path_data
from service.texts import gettext as _

#: Width of the longest strip on paper, margin and size of letters, mm.
_WIDE, _PAD, _LETTER = 180.0, 5.0, 3.2
_LINE = 1.5 * _LETTER
#: Strips of sizes that are drawn; of more, the rest is counted.
MAX_DRAWN = 40


@dataclass(frozen=True)
class DrawnStrip:
    """One strip: what is written above it, its size, and the pieces from its lower left corner."""

    title: str
    length: float
    height: float
    pieces: Sequence[Outline]


def strips_picture(strips: Sequence[DrawnStrip]) -> str:
    """Return the SVG drawing of strips, all in one scale."""
    drawn, more = strips[:MAX_DRAWN], len(strips) - MAX_DRAWN
    scale = _WIDE / max(each.length for each in drawn)
    body: list[str] = []
    top = _PAD
    for strip in drawn:
        body += _strip(strip, top, scale)
        top += _LINE + strip.height * scale + _LETTER
    if more > 0:
        body.append(_text(_("and {count} more", count=more), top + _LETTER))
        top += _LINE
    return framed(_WIDE + 2.0 * _PAD, top + _PAD, body, "; ".join(each.title for each in drawn))


def _strip(strip: DrawnStrip, top: float, scale: float) -> Iterator[str]:
    bottom = top + _LINE + strip.height * scale
    yield _text(strip.title, top + _LETTER)
    yield (
        f'<g class="strip" transform="translate({number(_PAD)} {number(bottom)}) '
        f'scale({number(scale, 6)} {number(-scale, 6)})" stroke="{INK}" '
        f'stroke-width="{number(PATCH.width / scale)}" stroke-linejoin="round">'
    )
    yield (
        f'<rect width="{number(strip.length)}" height="{number(strip.height)}" '
        f'fill="{SHEET.fill}"/>'
    )
    for piece in strip.pieces:
        yield f'<path class="piece" d="{path_data(piece)}" fill="{PATCH.fill}"/>'
    yield "</g>"


def _text(text: str, y: float) -> str:
    return (
        f'<text x="{number(_PAD)}" y="{number(y)}" font-family="sans-serif" '
        f'font-size="{number(_LETTER)}" fill="{INK}">{escape(text)}</text>'
    )
