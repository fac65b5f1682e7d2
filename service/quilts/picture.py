"""The assembly picture of a quilt: every piece in place, with a legend of colours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from xml.sax.saxutils import escape

from geometry.model.segments import Bounds
from geometry.planning.assembly import Assembly
from geometry.planning.borders import BorderPart
from service.documents.pictures.path import number, path_data

_INK = "#1d2b2a"
#: Tints that also differ on paper: light and dark alternate.
_TINTS = (
    "#f2e3c2",
    "#4f7f8c",
    "#d99a6c",
    "#7d9a6a",
    "#e9d3d8",
    "#8a5a63",
    "#cfd8dc",
    "#50617a",
    "#e8c85f",
    "#96836b",
    "#b7cfa8",
    "#6e5b86",
    "#f7d8c4",
    "#2f6f5e",
    "#c98bb0",
    "#5c4a3a",
    "#dfe6a8",
    "#3d5a80",
    "#e0a899",
    "#7a8450",
    "#d3c4ea",
    "#a3483f",
    "#9fc9d3",
    "#44403c",
)


def assembly_picture(
    assembly: Assembly,
    colours: Sequence[str],
    counts: Mapping[str, int],
    borders: Sequence[BorderPart] = (),
) -> str:
    """Return the SVG picture of a quilt.

    Args:
        assembly: the quilt.
        colours: colour of each placed piece.
        counts: number of pieces by colour, in the order of the legend.
        borders: strips and pieces of its borders.
    """
    box = _bounds([assembly.bounds, *(part.outline.bounds for part in borders)])
    letter = max(box.width, box.height) / 45.0
    line = 1.8 * letter
    width, height = max(box.width, 24.0 * letter), box.height
    pad = letter
    tints = {name: _TINTS[index % len(_TINTS)] for index, name in enumerate(counts)}
    total_w = width + 2 * pad
    total_h = height + 2 * pad + line * (len(counts) + 1)
    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(total_w)} '
            f'{number(total_h)}" width="{number(total_w / 10)}mm" '
            f'height="{number(total_h / 10)}mm">'
        ),
        f'<rect width="{number(total_w)}" height="{number(total_h)}" fill="#fff"/>',
        f'<g transform="translate({number(pad - box.left)} {number(pad + box.top)}) scale(1 -1)">',
        *_borders(borders, tints, _stroke(box)),
        *_top(assembly, colours, tints, _stroke(box)),
        "</g>",
        *_legend(counts, tints, pad, height + 2 * pad, letter, line),
        "</svg>",
    ]
    return "".join(parts)


def _top(
    assembly: Assembly, colours: Sequence[str], tints: Mapping[str, str], stroke: str
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
    drawn = [
        f'<g fill="{tints[colour]}">{"".join(uses)}</g>' for colour, uses in groups.items() if uses
    ]
    return [
        f'<defs>{"".join(shapes)}<clipPath id="edge">{frame}/></clipPath></defs>',
        f'<g clip-path="url(#edge)" stroke="{_INK}" stroke-width="{stroke}">',
        *drawn,
        f'</g>{frame} fill="none" stroke="{_INK}" stroke-width="{stroke}"/>',
    ]


def _borders(parts: Sequence[BorderPart], tints: Mapping[str, str], stroke: str) -> list[str]:
    return [
        f'<path d="{path_data(part.outline)}" fill="{tints[part.colour]}" stroke="{_INK}" '
        f'stroke-width="{stroke}"/>'
        for part in parts
    ]


def _stroke(box: Bounds) -> str:
    return number(max(box.width, box.height) / 1200.0)


def _bounds(boxes: Sequence[Bounds]) -> Bounds:
    return Bounds(
        min(box.left for box in boxes),
        min(box.bottom for box in boxes),
        max(box.right for box in boxes),
        max(box.top for box in boxes),
    )


def _legend(
    counts: Mapping[str, int],
    tints: Mapping[str, str],
    x: float,
    y: float,
    letter: float,
    line: float,
) -> list[str]:
    parts = []
    for index, (name, count) in enumerate(counts.items()):
        top = y + line * (index + 0.3)
        parts.append(
            f'<rect x="{number(x)}" y="{number(top)}" width="{number(letter)}" '
            f'height="{number(letter)}" fill="{tints[name]}" stroke="{_INK}" '
            f'stroke-width="{number(letter / 20)}"/>'
            f'<text x="{number(x + 1.6 * letter)}" y="{number(top + 0.85 * letter)}" '
            f'font-family="sans-serif" font-size="{number(letter)}" fill="{_INK}">'
            f"{escape(name)}: {count}</text>"
        )
    return parts
