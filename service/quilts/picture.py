"""The assembly picture of a quilt: every piece in place, with a legend of colours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from xml.sax.saxutils import escape

from geometry.model.segments import Bounds
from geometry.planning.assembly import Assembly
from geometry.planning.borders import BorderPart
from geometry.planning.outside import ragged_edges
from service.documents.pictures.colours import Tint, fill_of, patterns, tints_of
from service.documents.pictures.frame import framed
from service.documents.pictures.looks import INK
from service.documents.pictures.path import number, path_data
from service.texts import gettext as _

#: Millimetres of a quilt per millimetre of its picture.
_SCALE = 10.0
#: Height of a line of the legend, in heights of its letters.
_LINE = 1.8


@dataclass(frozen=True)
class HandPair:
    """A piece that is cut in both hands: the id and number of each."""

    id: str
    count: int
    mirror_id: str
    mirror_count: int


def assembly_picture(
    assembly: Assembly,
    colours: Sequence[str],
    counts: Mapping[str, int],
    borders: Sequence[BorderPart] = (),
    hands: Mapping[str, Sequence[HandPair]] = MappingProxyType({}),
) -> str:
    """Return the SVG picture of a quilt.

    Args:
        assembly: the quilt.
        colours: colour of each placed piece.
        counts: number of pieces by colour, in the order of the legend.
        borders: strips and pieces of its borders.
        hands: pieces of a colour that are cut in both hands, which the legend counts apart.
    """
    box = Bounds.around([assembly.bounds, *(part.outline.bounds for part in borders)])
    letter = max(box.width, box.height) / 45.0
    width, height = max(box.width, 24.0 * letter), box.height
    pad = letter
    tints = tints_of(counts)
    total_w = width + 2 * pad
    lines = len(counts) + sum(len(pairs) for pairs in hands.values())
    total_h = height + 2 * pad + _LINE * letter * (lines + 1)
    hatched = "".join(patterns(tints.values(), letter / 2.0, INK))
    parts = [
        f'<g transform="scale({number(1.0 / _SCALE, 6)})"><defs>{hatched}</defs>',
        f'<g transform="translate({number(pad - box.left)} {number(pad + box.top)}) scale(1 -1)">',
        *_borders(borders, tints, _stroke(box)),
        *_top(assembly, colours, tints, _stroke(box)),
        "</g>",
        *_legend(counts, hands, tints, (pad, height + 2 * pad), letter),
        "</g>",
    ]
    named = ", ".join(f"{name}: {count}" for name, count in counts.items())
    drawn = framed(total_w / _SCALE, total_h / _SCALE, parts, _("Quilt of {pieces}", pieces=named))
    # It stands within an answer, where no declaration belongs.
    return drawn.partition("\n")[2]


def _top(
    assembly: Assembly, colours: Sequence[str], tints: Mapping[str, Tint], stroke: str
) -> list[str]:
    box = assembly.bounds
    names: dict[int, str] = {}
    shapes: list[str] = []
    groups: dict[str, list[str]] = {name: [] for name in tints}
    for piece, colour in zip(assembly.placed, colours, strict=True):
        outline = assembly.shape(piece)
        name = names.get(id(outline))
        if name is None:
            name = names[id(outline)] = f"p{len(names)}"
            shapes.append(f'<path id="{name}" d="{path_data(outline)}"/>')
        groups[colour].append(f'<use href="#{name}" x="{number(piece.x)}" y="{number(piece.y)}"/>')
    frame = (
        f'<rect x="{number(box.left)}" y="{number(box.bottom)}" width="{number(box.width)}" '
        f'height="{number(box.height)}"'
    )
    # An edge that keeps points and dents is drawn, and bound, along them.
    edge = f'{frame} fill="none" stroke="{INK}" stroke-width="{stroke}"/>'
    if any(ragged_edges(assembly)):
        edge = ""
    drawn = [
        f'<g fill="{fill_of(tints[colour])}">{"".join(uses)}</g>'
        for colour, uses in groups.items()
        if uses
    ]
    return [
        f'<defs>{"".join(shapes)}<clipPath id="edge">{frame}/></clipPath></defs>',
        f'<g clip-path="url(#edge)" stroke="{INK}" stroke-width="{stroke}">',
        *drawn,
        f"</g>{edge}",
    ]


def _borders(parts: Sequence[BorderPart], tints: Mapping[str, Tint], stroke: str) -> list[str]:
    return [
        f'<path d="{path_data(part.outline)}" fill="{fill_of(tints[part.colour])}" '
        f'stroke="{INK}" stroke-width="{stroke}"/>'
        for part in parts
    ]


def _stroke(box: Bounds) -> str:
    return number(max(box.width, box.height) / 1200.0)


def _legend(
    counts: Mapping[str, int],
    hands: Mapping[str, Sequence[HandPair]],
    tints: Mapping[str, Tint],
    corner: tuple[float, float],
    letter: float,
) -> list[str]:
    x, top = corner[0], corner[1] + 0.3 * _LINE * letter
    parts = []
    for name, count in counts.items():
        parts.append(
            # Its y axis points up, as the pieces' does, so that hatching has the same slant.
            f'<rect transform="scale(1 -1)" x="{number(x)}" y="{number(-top - letter)}" '
            f'width="{number(letter)}" height="{number(letter)}" fill="{fill_of(tints[name])}" '
            f'stroke="{INK}" '
            f'stroke-width="{number(letter / 20)}"/>'
        )
        words = [f"{name}: {count}", *(_pair_text(pair) for pair in hands.get(name, ()))]
        for text in words:
            parts.append(
                f'<text x="{number(x + 1.6 * letter)}" y="{number(top + 0.85 * letter)}" '
                f'font-family="sans-serif" font-size="{number(letter)}" fill="{INK}">'
                f"{escape(text)}</text>"
            )
            top += _LINE * letter
    return parts


def _pair_text(pair: HandPair) -> str:
    return _(
        "{piece}: {count}, its mirror image {mirror}: {mirror_count}",
        piece=pair.id,
        count=pair.count,
        mirror=pair.mirror_id,
        mirror_count=pair.mirror_count,
    )
