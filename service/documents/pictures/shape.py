"""The dimensioned picture of a shape: its template inside its patch, sizes in mm and inches."""

from __future__ import annotations

from functools import partial
from xml.sax.saxutils import escape

from geometry import units as lengths
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from service.documents.pictures.frame import framed
from service.documents.pictures.looks import INK, PATCH, TEMPLATE
from service.documents.pictures.path import number, path_data
from service.pieces.model import Piece
from service.texts import gettext as _


def shape_picture(piece: Piece, units: str | None = None) -> str:
    """Return the SVG picture of one piece, its sizes in these units or in mm and inches."""
    return dimensioned(piece.template.outline, piece.patch.outline, piece.title, units)


def dimensioned(template: Outline, patch: Outline, title: str, units: str | None = None) -> str:
    """Return a drawing of a template inside its patch, with the sizes of both boxes."""
    figures = partial(_figures, units=units)
    inner, outer = template.bounds, patch.bounds
    letter = max(2.2, max(outer.width, outer.height) / 22.0)
    # Leave room for the text below narrow shapes too.
    pad = 4.4 * letter
    width = max(outer.width + 2.0 * pad, 22.0 * letter)
    height = outer.height + 2.0 * pad + 1.6 * letter
    dx = (width - outer.width) / 2.0 - outer.left
    dy = pad + 1.6 * letter + outer.top
    body = [
        (
            f'<text x="{number(width / 2)}" y="{number(1.8 * letter)}" font-size='
            f'"{number(1.2 * letter)}" font-weight="bold" {_LETTERS}>{escape(title)}</text>'
        ),
        f'<g transform="translate({number(dx)} {number(dy)}) scale(1 -1)">',
        (
            f'<path d="{path_data(patch)}" fill="{PATCH.fill}" stroke="{INK}" stroke-width='
            f'"{number(letter / 12)}"/>'
        ),
        (
            f'<path d="{path_data(template)}" fill="{TEMPLATE.fill}" stroke="{INK}" stroke-width='
            f'"{number(letter / 12)}" stroke-dasharray="{number(letter / 2)} '
            f'{number(letter / 4)}"/>'
        ),
        "</g>",
        *_across(
            inner,
            dx,
            dy - outer.top - 1.1 * letter,
            letter,
            _("template {size}", size=figures(inner.width)),
            above=True,
        ),
        *_across(
            outer,
            dx,
            dy - outer.bottom + 1.6 * letter,
            letter,
            _("patch {size}", size=figures(outer.width)),
            above=False,
        ),
        *_upward(inner, dy, dx + outer.left - 1.2 * letter, letter, figures(inner.height)),
        *_upward(outer, dy, dx + outer.right + 1.6 * letter, letter, figures(outer.height)),
    ]
    return framed(width, height, body, title)


_LETTERS = f'font-family="sans-serif" text-anchor="middle" fill="{INK}"'


def _figures(size: float, units: str | None) -> str:
    known = {"mm": 2, "cm": 3, "in": 4}
    shown = (units,) if units in known else ("mm", "in")
    return " = ".join(
        f"{number(size / lengths.UNIT_MM[each], known[each])} {each}" for each in shown if each
    )


def _across(
    box: Bounds, dx: float, y: float, letter: float, text: str, *, above: bool
) -> list[str]:
    """Draw a width dimension."""
    left, right = box.left + dx, box.right + dx
    tick = letter / 3.0
    return [
        (
            f'<path d="M{number(left)} {number(y)}H{number(right)}M{number(left)} '
            f"{number(y - tick)}v{number(2 * tick)}M{number(right)} {number(y - tick)}"
            f'v{number(2 * tick)}" '
            f'fill="none" stroke="{INK}" stroke-width="{number(letter / 16)}"/>'
        ),
        (
            f'<text x="{number((left + right) / 2)}" '
            f'y="{number(y + (-0.5 if above else 1.2) * letter)}" '
            f'font-size="{number(0.85 * letter)}" {_LETTERS}>{escape(text)}</text>'
        ),
    ]


def _upward(box: Bounds, dy: float, x: float, letter: float, text: str) -> list[str]:
    """Draw a height dimension, with its text rotated."""
    top, bottom = dy - box.top, dy - box.bottom
    tick = letter / 3.0
    middle = (top + bottom) / 2.0
    return [
        (
            f'<path d="M{number(x)} {number(top)}V{number(bottom)}M{number(x - tick)} {number(top)}'
            f'h{number(2 * tick)}M{number(x - tick)} {number(bottom)}h{number(2 * tick)}" '
            f'fill="none" stroke="{INK}" stroke-width="{number(letter / 16)}"/>'
        ),
        (
            f'<text transform="translate({number(x - 0.5 * letter)} {number(middle)}) rotate(-90)" '
            f'font-size="{number(0.85 * letter)}" {_LETTERS}>{escape(text)}</text>'
        ),
    ]
