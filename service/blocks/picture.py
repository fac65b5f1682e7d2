"""The picture of a block: its pieces in their fabrics, with letters."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from xml.sax.saxutils import escape, quoteattr

from geometry.model.outline import Outline
from geometry.model.points import Point
from service.blocks.pieces import NamedPiece
from service.documents.pictures.colours import Tint, fill_of, is_dark, patterns, tints_of
from service.documents.pictures.letters import width_of
from service.documents.pictures.looks import INK
from service.documents.pictures.path import number, path_data
from service.texts import gettext as _

_PAPER = "#fff"
#: Letters are at most this share of the block's width, and of the room in their piece.
_LARGEST, _OF_ROOM = 1 / 18, 0.9
_SMALLEST = 1 / 90
#: The gallery's names of fabrics, apart in grey too.
_NAMED = {"light": Tint("#f4e8cd"), "dark": Tint("#6f98a3"), "medium": Tint("#e2b08a")}


def block_picture(outline: Outline, pieces: Sequence[NamedPiece]) -> str:
    """Return the SVG picture of a block, each piece with its letter."""
    box = outline.bounds
    pad = 0.02 * max(box.width, box.height)
    fabrics = dict.fromkeys(piece.fabric for piece in pieces)
    tints = block_tints(fabrics)
    line = 0.05 * max(box.width, box.height)
    width, height = box.width + 2 * pad, box.height + 2 * pad
    total = height + (line * (len(fabrics) + 0.3) if len(fabrics) > 1 else 0.0)
    hatched = "".join(patterns(tints.values(), line / 3.0, INK))
    at = f"translate({number(pad - box.left)} {number(pad + box.top)}) scale(1 -1)"
    view = f"0 0 {number(width)} {number(total)}"
    counts = Counter(piece.fabric for piece in pieces)
    named = ", ".join(f"{name}: {counts[name]}" for name in fabrics)
    spoken = _("Block of {pieces}", pieces=named)
    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" '
            f'width="{number(width)}mm" height="{number(total)}mm" role="img" '
            f"aria-label={quoteattr(spoken)}><title>{escape(spoken)}</title>"
            f"<defs>{hatched}</defs>"
            f'<rect width="{number(width)}" height="{number(total)}" fill="{_PAPER}"/>'
            f'<g transform="{at}" stroke="{INK}" stroke-width="{number(box.width / 400)}" '
            'stroke-linejoin="round">'
        ),
        *(_piece_shape(piece, tints[piece.fabric]) for piece in pieces),
        "</g>",
        *(
            _letter(piece, Point(pad - box.left, pad + box.top), box.width, tints[piece.fabric])
            for piece in pieces
        ),
    ]
    if len(fabrics) > 1:
        parts += _legend(fabrics, tints, pad, height, line)
    return "".join([*parts, "</svg>"])


def block_tints(fabrics: Iterable[str]) -> dict[str, Tint]:
    """Return how each fabric of a block is drawn: in the colour that its name says, if any."""
    listed = list(fabrics)
    if _NAMED.keys() >= set(listed):
        return {name: _NAMED[name] for name in listed}
    return tints_of(listed)


def _piece_shape(piece: NamedPiece, tint: Tint) -> str:
    """Return a piece's path in a y-up frame."""
    data = path_data(piece.outline) + "".join(map(path_data, piece.holes))
    return f'<path d="{data}" fill="{fill_of(tint)}" fill-rule="evenodd"/>'


def _letter(piece: NamedPiece, shift: Point, width: float, tint: Tint) -> str:
    text = piece.group.letter
    size = min(_LARGEST * width, _OF_ROOM * 2.0 * piece.room / max(1.0, 0.75 * len(text)))
    if size < _SMALLEST * width:
        return ""
    x, y = piece.at.x + shift.x, shift.y - piece.at.y + 0.36 * size
    ink = _PAPER if is_dark(tint.fill) else INK
    ground = ""
    if tint.hatching_deg is not None:
        wide, high = width_of(text) * size, 1.1 * size
        # Over hatching a letter stands on the plain colour.
        ground = (
            f'<rect x="{number(x - wide / 2)}" y="{number(y - 0.36 * size - high / 2)}" '
            f'width="{number(wide)}" height="{number(high)}" fill="{tint.fill}"/>'
        )
    return (
        f'{ground}<text x="{number(x)}" y="{number(y)}" font-family="sans-serif" '
        f'font-size="{number(size)}" text-anchor="middle" fill="{ink}">{escape(text)}</text>'
    )


def _legend(
    fabrics: Mapping[str, None], tints: Mapping[str, Tint], x: float, y: float, line: float
) -> list[str]:
    size = 0.6 * line
    rows = []
    for index, name in enumerate(fabrics):
        top = y + line * (index + 0.15)
        rows.append(
            # Its y axis points up, as the pieces' does, so that hatching has the same slant.
            f'<rect transform="scale(1 -1)" x="{number(x)}" y="{number(-top - size)}" '
            f'width="{number(size)}" height="{number(size)}" fill="{fill_of(tints[name])}" '
            f'stroke="{INK}" '
            f'stroke-width="{number(size / 20)}"/>'
            f'<text x="{number(x + 1.5 * size)}" y="{number(top + 0.82 * size)}" '
            f'font-family="sans-serif" font-size="{number(size)}" fill="{INK}">'
            f"{escape(name)}</text>"
        )
    return rows
