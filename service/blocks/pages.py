"""Drawings of a block at true size: foundations, mirrored, and templates for paper piecing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.blocks.section_rings import SectionRing, section_rings
from geometry.blocks.sections import Section
from geometry.errors import GeometryError
from geometry.model.outline import Chain, Outline, Vertex
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid
from geometry.offset.allowance import make_patch
from service.blocks.drawings import BlockDrawings
from service.blocks.pieces import NamedPiece
from service.blocks.word_places import word_places
from service.documents.pictures import looks
from service.documents.sketch import Shape, Sketch, Words
from service.documents.true_size import tiles_of
from service.texts import gettext as _

_LINE = looks.Look(None, looks.INK, 0.35)
#: Between templates on a page, mm.
_GAP = 4.0
#: Numbers and names, mm: the largest, the smallest, and their share of a piece's room.
_NUMBER, _NAME, _SMALLEST, _OF_ROOM = 7.0, 3.2, 1.7, 0.7
#: Half the width of a letter, as a share of its height.
_WIDTH = 0.62


@dataclass(frozen=True)
class Foundation:
    """A foundation, and whether it is turned by a quarter so that it takes fewer pages."""

    sketch: Sketch
    is_turned: bool


def foundation(drawings: BlockDrawings, section: Section, room: tuple[float, float]) -> Foundation:
    """Return the foundation of a section: mirrored, numbered, with the allowance round it.

    Args:
        drawings: of the block.
        section: of it.
        room: width and height of a page, mm.
    """
    upright, turned = Rigid(mirrored=True), Rigid(90.0, mirrored=True)
    ways = [_foundation(drawings, section, room, move) for move in (upright, turned)]
    pages = [len(tiles_of(sketch.box, room).tiles) for sketch in ways]
    is_turned = pages[1] < pages[0]
    return Foundation(ways[is_turned], is_turned)


def _foundation(
    drawings: BlockDrawings, section: Section, room: tuple[float, float], move: Rigid
) -> Sketch:
    pieces = {piece.member.face: piece for piece in drawings.read.pieces}
    shapes: list[Shape] = []
    boxes: list[Bounds] = []
    words: list[Words] = []
    for ring in section_rings(drawings.read.block, section.pieces):
        around = _allowance(drawings, ring)
        if around is not None:
            shapes.append(Shape((move.outline(around),), looks.SEAM))
        boxes.append(move.outline(around or ring.outline).bounds)
    box = Bounds.around(boxes)
    tiles = tiles_of(box, room)
    for order, face in enumerate(section.pieces, start=1):
        piece = pieces[face]
        outline = move.outline(piece.outline)
        shapes.append(Shape((outline,), _LINE))
        whole = _moved(piece.at, move), piece.room
        for at, free in word_places(outline, (), whole, tiles):
            words += _numbered(piece, order, at, free)
    outer = [
        Chain(tuple(move.chain(mark).vertices))
        for face in section.pieces
        for mark in drawings.marks.get(face, ())
    ]
    if outer:
        shapes.append(Shape(tuple(outer), looks.MARK))
    return Sketch(box, 1.0, _("foundation"), ground=tuple(shapes), words=tuple(words))


def _moved(at: Point, move: Rigid) -> Point:
    """Return where a point of the block is drawn."""
    (vertex,) = move.chain(Chain((Vertex(at.x, at.y),))).vertices
    return vertex.point


def _allowance(drawings: BlockDrawings, ring: SectionRing) -> Outline | None:
    request = drawings.request
    edges = dict.fromkeys(ring.outer, request.outer_allowance)
    try:
        return make_patch(ring.outline, request.allowance, edges=edges).outline
    except GeometryError:
        return None


def _numbered(piece: NamedPiece, order: int, at: Point, room: float) -> Iterator[Words]:
    """Yield the number of a piece in the order of sewing, and below it its name and fabric."""
    number = str(order)
    size = min(_NUMBER, _OF_ROOM * room, 2.0 * room / (_WIDTH * len(number)))
    if size < _SMALLEST:
        # Smaller letters cannot be read; the piece's number is in the list of the order.
        yield Words(number, at, _SMALLEST)
        return
    yield Words(number, Point(at.x, at.y + 0.2 * size), size)
    text = f"{piece.name} {piece.fabric}"
    name = min(_NAME, 0.45 * size, 2.0 * room / (_WIDTH * len(text)))
    if name >= _SMALLEST:
        yield Words(text, Point(at.x, at.y - 0.75 * size), name)


@dataclass(frozen=True)
class TemplatePage:
    """Templates on one page, or one template that is larger than a page."""

    names: tuple[str, ...]
    sketch: Sketch


def template_pages(drawings: BlockDrawings, room: tuple[float, float]) -> Iterator[TemplatePage]:
    """Yield pages of templates, each piece of the block with its name, row by row."""
    pieces = sorted(
        drawings.read.pieces,
        key=lambda piece: -piece.outline.bounds.height,
    )
    rows: list[tuple[NamedPiece, Point]] = []
    x = top = 0.0
    height = 0.0
    for piece in pieces:
        box = piece.outline.bounds
        if box.width > room[0] or box.height > room[1]:
            yield _page(drawings, [(piece, Point(0.0, 0.0))], room)
            continue
        if x and x + box.width > room[0]:
            x, top, height = 0.0, top + height + _GAP, 0.0
        if rows and top + max(height, box.height) > room[1]:
            yield _page(drawings, rows, room)
            rows, x, top, height = [], 0.0, 0.0, 0.0
        rows.append((piece, Point(x, -top)))
        x += box.width + _GAP
        height = max(height, box.height)
    if rows:
        yield _page(drawings, rows, room)


def _page(
    drawings: BlockDrawings, rows: Sequence[tuple[NamedPiece, Point]], room: tuple[float, float]
) -> TemplatePage:
    """Return templates whose upper left corners lie at places."""
    shapes: list[Shape] = []
    words: list[Words] = []
    boxes: list[Bounds] = []
    for piece, at in rows:
        box = piece.outline.bounds
        move = Rigid(0.0, at.x - box.left, at.y - box.top)
        outline = move.outline(piece.outline)
        boxes.append(outline.bounds)
        holes = tuple(move.outline(hole) for hole in piece.holes)
        shapes.append(Shape((outline, *holes), _LINE))
        shapes += [
            Shape(
                tuple(move.chain(line) for line in shape.paths if isinstance(line, Chain)),
                shape.look,
            )
            for shape in drawings.inside(piece)
        ]
        tiles = tiles_of(outline.bounds, room)
        whole = _moved(piece.at, move), piece.room
        for place, free in word_places(outline, holes, whole, tiles):
            words += _names(piece, place, free)
    names = tuple(piece.name for piece, _ in rows)
    sketch = Sketch(
        Bounds.around(boxes), 1.0, _("templates"), ground=tuple(shapes), words=tuple(words)
    )
    return TemplatePage(names, sketch)


def _names(piece: NamedPiece, at: Point, room: float) -> Iterator[Words]:
    size = min(_NUMBER, _OF_ROOM * room, 2.0 * room / (_WIDTH * len(piece.name)))
    yield Words(piece.name, at, max(size, _SMALLEST), ground="#ffffff")
    fabric = min(_NAME, 2.0 * room / (_WIDTH * len(piece.fabric)))
    if size >= 2.0 * _SMALLEST and fabric >= _SMALLEST:
        yield Words(piece.fabric, Point(at.x, at.y - size), fabric, ground="#ffffff")
