"""The picture of a block: its pieces in their fabrics, with letters."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from xml.sax.saxutils import escape, quoteattr

from geometry.model.outline import Outline
from geometry.model.points import Point
from service.blocks.pieces import NamedPiece
from service.documents.pictures.colours import is_dark, named_colour
from service.documents.pictures.path import number, path_data
from service.texts import gettext as _

_INK = "#1d2b2a"
_PAPER = "#fff"
#: For fabrics that state no colour; neighbours in the list differ on paper too.
_TINTS = (
    "#f4e8cd", "#6f98a3", "#e2b08a", "#9db58b", "#efdde1", "#a9787f", "#d8e0e3", "#7c8aa0",
    "#f0d98a", "#b3a28c", "#cfe0c6", "#9184a6",
)  # fmt: skip
#: Letters are at most this share of the block's width, and of the room in their piece.
_LARGEST, _OF_ROOM = 1 / 18, 0.9
_SMALLEST = 1 / 90
#: The gallery's names of fabrics.
_NAMED = {"light": _TINTS[0], "dark": _TINTS[1], "medium": _TINTS[2]}


def block_picture(outline: Outline, pieces: Sequence[NamedPiece]) -> str:
    """Return the SVG picture of a block, each piece with its letter."""
    box = outline.bounds
    pad = 0.02 * max(box.width, box.height)
    fabrics = dict.fromkeys(piece.fabric for piece in pieces)
    tints = tints_of(fabrics)
    line = 0.05 * max(box.width, box.height)
    width, height = box.width + 2 * pad, box.height + 2 * pad
    total = height + (line * (len(fabrics) + 0.3) if len(fabrics) > 1 else 0.0)
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
            f'<rect width="{number(width)}" height="{number(total)}" fill="{_PAPER}"/>'
            f'<g transform="{at}" stroke="{_INK}" stroke-width="{number(box.width / 400)}" '
            'stroke-linejoin="round">'
        ),
        *(piece_shape(piece, tints[piece.fabric]) for piece in pieces),
        "</g>",
        *(
            _letter(piece, Point(pad - box.left, pad + box.top), box.width, tints[piece.fabric])
            for piece in pieces
        ),
    ]
    if len(fabrics) > 1:
        parts += _legend(fabrics, tints, pad, height, line)
    return "".join([*parts, "</svg>"])


def tints_of(fabrics: Mapping[str, None]) -> dict[str, str]:
    """Return the colour in which each fabric is drawn: the one that its name says, if any.

    A second fabric of the same colour takes a tint of the list, so that the two differ.
    """
    if fabrics.keys() <= _NAMED.keys():
        return {name: _NAMED[name] for name in fabrics}
    found: dict[str, str] = {}
    stated = {name: named_colour(name) for name in fabrics}
    free = [each for each in _TINTS if each not in stated.values()]
    for index, name in enumerate(fabrics):
        colour = stated[name]
        is_new = colour is not None and colour not in found.values()
        found[name] = colour if colour and is_new else free[index % len(free)]
    return found


def piece_shape(piece: NamedPiece, tint: str) -> str:
    """Return a piece's path in a y-up frame."""
    data = path_data(piece.outline) + "".join(map(path_data, piece.holes))
    return f'<path d="{data}" fill="{tint}" fill-rule="evenodd"/>'


def _letter(piece: NamedPiece, shift: Point, width: float, tint: str) -> str:
    text = piece.group.letter
    size = min(_LARGEST * width, _OF_ROOM * 2.0 * piece.room / max(1.0, 0.75 * len(text)))
    if size < _SMALLEST * width:
        return ""
    x, y = piece.at.x + shift.x, shift.y - piece.at.y + 0.36 * size
    ink = _PAPER if is_dark(tint) else _INK
    return (
        f'<text x="{number(x)}" y="{number(y)}" font-family="sans-serif" '
        f'font-size="{number(size)}" text-anchor="middle" fill="{ink}">{escape(text)}</text>'
    )


def _legend(
    fabrics: Mapping[str, None], tints: Mapping[str, str], x: float, y: float, line: float
) -> list[str]:
    size = 0.6 * line
    rows = []
    for index, name in enumerate(fabrics):
        top = y + line * (index + 0.15)
        rows.append(
            f'<rect x="{number(x)}" y="{number(top)}" width="{number(size)}" '
            f'height="{number(size)}" fill="{tints[name]}" stroke="{_INK}" '
            f'stroke-width="{number(size / 20)}"/>'
            f'<text x="{number(x + 1.5 * size)}" y="{number(top + 0.82 * size)}" '
            f'font-family="sans-serif" font-size="{number(size)}" fill="{_INK}">'
            f"{escape(name)}</text>"
        )
    return rows
