"""The one drawing of a quilt, in answers and on the sheet for cutting: pieces, letters, legend."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid, moved
from geometry.planning.assembly import Assembly
from geometry.planning.borders import BorderPart
from geometry.planning.outside import ragged_edges
from geometry.planning.pieces import GroupedPieces, Need
from service.documents.pictures.colours import Tint, is_dark, tints_of
from service.documents.pictures.fabric_legend import (
    LETTER,
    FabricLegend,
    LegendRow,
    fabric_hatchings,
    fabric_look,
    legend_width,
)
from service.documents.pictures.inside import label_size, roomy_middle
from service.documents.pictures.letters import width_of
from service.documents.pictures.looks import INK, QUILT_EDGE
from service.documents.sketch import Copies, Shape, Sketch, Words
from service.quilts.borders import border_names, border_parts
from service.quilts.kit_body import piece_ids
from service.quilts.top import QuiltTop
from service.texts import gettext as _

#: Letters in pieces, the largest and smallest, mm on paper.
_LETTER, _SMALLEST = 3.4, 1.75
_PAPER = "#ffffff"


@dataclass(frozen=True)
class DrawnTop:
    """What a quilt's drawing shows.

    Args:
        assembly: the tiled top.
        colours: fabric of each placed piece.
        names: letter of each placed piece.
        borders: strips and pieces of the borders.
        border_names: letter of each of them, empty for a strip.
    """

    assembly: Assembly
    colours: Sequence[str]
    names: Sequence[str]
    borders: Sequence[BorderPart]
    border_names: Sequence[str]


def drawn_top(
    top: QuiltTop, colours: Sequence[str], grouped: GroupedPieces, needs: Sequence[Need]
) -> DrawnTop:
    """Return what the drawing of a quilt shows, its pieces named as in its plan."""
    ids = piece_ids(len(needs))
    return DrawnTop(
        top.assembly,
        colours,
        [ids[place] for place in grouped.of_placed],
        list(border_parts(top.borders)),
        border_names(top.borders, dict(zip(ids, needs, strict=True))),
    )


def top_sketch(top: DrawnTop, rows: Sequence[LegendRow], room: tuple[float, float]) -> Sketch:
    """Return the drawing of a quilt in a room of these millimetres, the legend at its right.

    Args:
        top: what is drawn.
        rows: of the legend, each fabric in one of them.
        room: for the drawing and its legend, mm.
    """
    inner = top.assembly.bounds
    quilt = Bounds.around([inner, *(part.outline.bounds for part in top.borders)])
    wide = legend_width(rows)
    scale = min(1.0, (room[0] - wide) / quilt.width, room[1] / quilt.height)
    legend = FabricLegend(rows, Point(quilt.right, quilt.top), LETTER / scale)
    tints = tints_of(row.fabric for row in rows if row.fabric)
    # Points and dents of an edge that keeps them are its line.
    has_frame = bool(top.borders) or not any(ragged_edges(top.assembly))
    return Sketch(
        # A quilt that is lower than its legend leaves room below.
        Bounds(quilt.left, min(quilt.bottom, legend.bottom), quilt.right + wide / scale, quilt.top),
        scale,
        _("Quilt of {pieces}", pieces=", ".join(row.text for row in rows if row.fabric)),
        ground=(
            *(Shape((part.outline,), fabric_look(tints[part.colour])) for part in top.borders),
            *legend.shapes(tints),
        ),
        copies=tuple(_pieces(top, tints)),
        hatchings=(
            *fabric_hatchings(_outlines(top, tints), tints, scale, trimmed=True),
            *fabric_hatchings(_beside(top, legend), tints, scale),
        ),
        top=(Shape((_box(quilt),), QUILT_EDGE),) if has_frame else (),
        words=(*_letters(top, tints, scale), *legend.words()),
        trimmed_to=inner,
    )


def legend_rows(counts: Mapping[str, int]) -> list[LegendRow]:
    """Return the legend of fabrics with their numbers of pieces, in their order."""
    return [LegendRow(f"{name}: {count:,}", name) for name, count in counts.items()]


def _box(box: Bounds) -> Outline:
    return WorkArea.rectangle(box.left, box.bottom, box.width, box.height).boundary


def _pieces(top: DrawnTop, tints: Mapping[str, Tint]) -> Iterator[Copies]:
    """Yield the pieces, equal ones of one fabric as copies."""
    outlines: dict[tuple[int, str], Outline] = {}
    moves: dict[tuple[int, str], list[Rigid]] = {}
    for piece, colour in zip(top.assembly.placed, top.colours, strict=True):
        outline = top.assembly.shape(piece)
        key = (id(outline), colour)
        outlines[key] = outline
        moves.setdefault(key, []).append(Rigid(0.0, piece.x, piece.y))
    for key, outline in outlines.items():
        yield Copies((Shape((outline,), fabric_look(tints[key[1]])),), tuple(moves[key]))


def _outlines(top: DrawnTop, tints: Mapping[str, Tint]) -> dict[str, list[Outline]]:
    """Return the placed outlines of fabrics that are hatched."""
    found: dict[str, list[Outline]] = {}
    for piece, colour in zip(top.assembly.placed, top.colours, strict=True):
        if tints[colour].hatching_deg is not None:
            placed = moved(top.assembly.shape(piece), piece.x, piece.y)
            found.setdefault(colour, []).append(placed)
    return found


def _beside(top: DrawnTop, legend: FabricLegend) -> dict[str, list[Outline]]:
    """Return the outlines of borders and of the legend's swatches, by fabric."""
    found = {fabric: [outline] for fabric, outline in legend.swatches.items()}
    for part in top.borders:
        found.setdefault(part.colour, []).append(part.outline)
    return found


def _letters(top: DrawnTop, tints: Mapping[str, Tint], scale: float) -> Iterator[Words]:
    """Yield the letter of each piece that has room for one."""
    for piece, colour, name in zip(top.assembly.placed, top.colours, top.names, strict=True):
        # Equal pieces share an outline, of which the middle and the size are found once.
        for words in _letter(
            top.assembly.shape(piece), (piece.x, piece.y), name, tints[colour], scale
        ):
            if _holds(top.assembly.bounds, words):
                yield words
    for part, name in zip(top.borders, top.border_names, strict=True):
        if name:
            yield from _letter(part.outline, (0.0, 0.0), name, tints[part.colour], scale)


def _letter(
    outline: Outline, at: tuple[float, float], name: str, tint: Tint, scale: float
) -> Iterator[Words]:
    size = label_size(outline, name, _LETTER / scale)
    if size >= _SMALLEST / scale:
        middle, _reach = roomy_middle(outline)
        # Over hatching a letter stands on the plain colour.
        ground = None if tint.hatching_deg is None else tint.fill
        ink = _PAPER if is_dark(tint.fill) else INK
        yield Words(name, Point(middle.x + at[0], middle.y + at[1]), size, ground=ground, ink=ink)


def _holds(box: Bounds, words: Words) -> bool:
    """Return whether a letter lies within the edges to which pieces are trimmed."""
    wide, high = width_of(words.text) * words.size / 2.0, words.size / 2.0
    return (
        box.left <= words.at.x - wide
        and words.at.x + wide <= box.right
        and box.bottom <= words.at.y - high
        and words.at.y + high <= box.top
    )
