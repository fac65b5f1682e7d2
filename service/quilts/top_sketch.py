"""The drawing of a quilt on the sheet for cutting: fabrics, letters of pieces, a legend."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid, moved
from geometry.planning.assembly import Assembly
from geometry.planning.borders import BorderPart
from geometry.planning.pieces import GroupedPieces, Need
from service.documents.pictures.colours import Tint, is_dark, tints_of
from service.documents.pictures.inside import label_size, roomy_middle
from service.documents.pictures.letters import width_of
from service.documents.pictures.looks import INK, Look, hatch_look
from service.documents.sketch import Copies, Hatching, Shape, Sketch, Words
from service.quilts.borders import border_names, border_parts
from service.quilts.kit_body import piece_ids
from service.quilts.top import QuiltTop
from service.texts import gettext as _

#: Letters of the legend, the largest and smallest in pieces, and lines of hatchings, mm on paper.
_LEGEND, _LETTER, _SMALLEST, _APART = 3.2, 3.4, 1.75, 1.4
#: Outlines, and the quilt's edge.
_LINE, _EDGE = Look(None, INK, 0.18), Look(None, INK, 0.35)
#: Shares of a legend's letters: the height of a line, and from swatch to text.
_SPACING, _BESIDE = 1.9, 1.7
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


def top_sketch(top: DrawnTop, counts: Mapping[str, int], room: tuple[float, float]) -> Sketch:
    """Return the drawing of a quilt in a room of these millimetres, the legend at its right.

    Args:
        top: what is drawn.
        counts: number of pieces of each fabric, in the order of the legend.
        room: for the drawing and its legend, mm.
    """
    legend = [f"{name}: {count:,}" for name, count in counts.items()]
    wide = (max(map(width_of, legend)) + _BESIDE + 2.0) * _LEGEND
    quilt = Bounds.around([top.assembly.bounds, *(part.outline.bounds for part in top.borders)])
    scale = min(1.0, (room[0] - wide) / quilt.width, room[1] / quilt.height)
    tints = tints_of(counts)
    letter = _LEGEND / scale
    # A quilt that is lower than its legend leaves room below.
    bottom = min(quilt.bottom, quilt.top - _SPACING * letter * len(legend))
    swatches = dict(zip(tints, _swatches(quilt, letter, len(legend)), strict=True))
    return Sketch(
        Bounds(quilt.left, bottom, quilt.right + wide / scale, quilt.top),
        scale,
        _("Quilt of {pieces}", pieces=", ".join(legend)),
        ground=(
            *(Shape((part.outline,), _look(tints[part.colour])) for part in top.borders),
            *(Shape((outline,), _look(tints[name])) for name, outline in swatches.items()),
        ),
        copies=tuple(_pieces(top, tints)),
        hatchings=tuple(_hatchings(top, tints, swatches, scale)),
        top=(Shape((_box(quilt),), _EDGE),) if top.borders else (),
        words=(
            *_letters(top, tints, scale),
            *(
                Words(text, _beside(swatch, letter), letter, begins=True)
                for text, swatch in zip(legend, swatches.values(), strict=True)
            ),
        ),
    )


def _look(tint: Tint) -> Look:
    return replace(_LINE, fill=tint.fill)


def _box(box: Bounds) -> Outline:
    return WorkArea.rectangle(box.left, box.bottom, box.width, box.height).boundary


def _swatches(quilt: Bounds, letter: float, count: int) -> Iterator[Outline]:
    """Yield the legend's squares, from the top down."""
    left = quilt.right + letter
    for number in range(count):
        top = quilt.top - _SPACING * letter * number
        yield _box(Bounds(left, top - letter, left + letter, top))


def _beside(swatch: Outline, letter: float) -> Point:
    box = swatch.bounds
    return Point(box.left + _BESIDE * letter, (box.bottom + box.top) / 2.0)


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
        yield Copies((Shape((outline,), _look(tints[key[1]])),), tuple(moves[key]))


def _hatchings(
    top: DrawnTop, tints: Mapping[str, Tint], swatches: Mapping[str, Outline], scale: float
) -> Iterator[Hatching]:
    for name, tint in tints.items():
        if tint.hatching_deg is None:
            continue
        paths = [
            moved(top.assembly.shape(piece), piece.x, piece.y)
            for piece, colour in zip(top.assembly.placed, top.colours, strict=True)
            if colour == name
        ]
        paths += [part.outline for part in top.borders if part.colour == name]
        outlines = (*paths, swatches[name])
        yield Hatching(outlines, tint.hatching_deg, _APART / scale, hatch_look(tint.fill))


def _letters(top: DrawnTop, tints: Mapping[str, Tint], scale: float) -> Iterator[Words]:
    """Yield the letter of each piece that has room for one."""
    for piece, colour, name in zip(top.assembly.placed, top.colours, top.names, strict=True):
        # Equal pieces share an outline, of which the middle and the size are found once.
        yield from _letter(
            top.assembly.shape(piece), (piece.x, piece.y), name, tints[colour], scale
        )
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
