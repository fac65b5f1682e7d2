"""The picture of a block: its pieces in their fabrics, with letters and a legend."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from service.blocks.pieces import NamedPiece
from service.documents.pictures.colours import Tint, is_dark, tints_of
from service.documents.pictures.fabric_legend import (
    LETTER,
    FabricLegend,
    LegendRow,
    fabric_hatchings,
    fabric_look,
    legend_width,
)
from service.documents.pictures.letters import width_of
from service.documents.pictures.looks import INK
from service.documents.sketch import Shape, Sketch, Words
from service.documents.sketch_document import sketch_document
from service.texts import gettext as _

_PAPER = "#ffffff"
#: Largest side of a block, and letters, the largest and the smallest, mm on paper.
_SIDE, _LETTER, _SMALLEST = 120.0, 5.0, 1.75
#: Share of the circle in a piece that its letter's box may take.
_OF_ROOM = 0.85
#: The gallery's names of fabrics, apart in grey too.
_NAMED = {"light": Tint("#f4e8cd"), "dark": Tint("#6f98a3"), "medium": Tint("#e2b08a")}


def block_picture(outline: Outline, pieces: Sequence[NamedPiece]) -> str:
    """Return the SVG picture of a block, each piece with its letter."""
    return sketch_document(block_sketch(outline, pieces))


def block_sketch(outline: Outline, pieces: Sequence[NamedPiece]) -> Sketch:
    """Return the drawing of a block, the legend of several fabrics at its right."""
    box = outline.bounds
    scale = min(1.0, _SIDE / max(box.width, box.height))
    counts = Counter(piece.fabric for piece in pieces)
    tints = block_tints(counts)
    rows = [LegendRow(name, name) for name in counts] if len(counts) > 1 else []
    legend = FabricLegend(rows, Point(box.right, box.top), LETTER / scale)
    wide = legend_width(rows) / scale if rows else 0.0
    looks = {name: fabric_look(tint) for name, tint in tints.items()}
    named = ", ".join(f"{name}: {count}" for name, count in counts.items())
    return Sketch(
        Bounds(box.left, min(box.bottom, legend.bottom), box.right + wide, box.top),
        scale,
        _("Block of {pieces}", pieces=named),
        ground=(
            *(Shape((piece.outline, *piece.holes), looks[piece.fabric]) for piece in pieces),
            *legend.shapes(tints),
        ),
        hatchings=tuple(fabric_hatchings(_outlines(pieces, legend), tints, scale)),
        words=(*_letters(pieces, tints, scale), *legend.words()),
    )


def block_tints(fabrics: Iterable[str]) -> dict[str, Tint]:
    """Return how each fabric of a block is drawn: in the colour that its name says, if any."""
    listed = list(fabrics)
    if _NAMED.keys() >= set(listed):
        return {name: _NAMED[name] for name in listed}
    return tints_of(listed)


def _outlines(pieces: Sequence[NamedPiece], legend: FabricLegend) -> dict[str, list[Outline]]:
    found = {fabric: [swatch] for fabric, swatch in legend.swatches.items()}
    for piece in pieces:
        found.setdefault(piece.fabric, []).append(piece.outline)
    return found


def _letters(
    pieces: Sequence[NamedPiece], tints: Mapping[str, Tint], scale: float
) -> Iterator[Words]:
    """Yield the letter of each piece that has room for it inside the circle about its middle."""
    for piece in pieces:
        text, tint = piece.group.letter, tints[piece.fabric]
        diagonal = (width_of(text) ** 2 + 1.0) ** 0.5
        size = min(_LETTER / scale, 2.0 * _OF_ROOM * piece.room / diagonal)
        if size * scale >= _SMALLEST:
            # Over hatching a letter stands on the plain colour.
            ground = None if tint.hatching_deg is None else tint.fill
            ink = _PAPER if is_dark(tint.fill) else INK
            yield Words(text, piece.at, size, ground=ground, ink=ink)
