"""The drawings of the run sheet: loads, pieces, a blade's dial."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import product
from string import ascii_lowercase

from geometry.model.cutter import WorkArea
from geometry.model.outline import Chain, Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid, cos_sin_deg
from service.documents.load_numbers import pause_marks, stroke_words
from service.documents.model import SheetGround, SheetKind, SheetLoad, SheetPiece, SheetRest
from service.documents.on_the_bed import kept_free, shown_part, within_bed
from service.documents.page_edges import page_shapes, page_words
from service.documents.pictures import looks
from service.documents.pictures.names import DrawnKind, PlacedName, place_name, turns_of
from service.documents.sketch import Copies, Shape, Sketch, Words, fitting_scale
from service.texts import gettext as _

#: Letters in a drawing, mm on paper: of ids, the smallest that can be read, of offcuts' sizes, of
#: edges' numbers.
_LETTER, _SMALLEST, _REST, _EDGE = 3.4, 1.75, 2.6, 2.2
#: The smallest letters of the only kind of piece on a load, mm on paper.
_ALONE = 2.1
#: Radius of a dial, and of the ring about a motif, mm; placements, and motifs on a piece, of which
#: names keep clear.
_DIAL, _MOTIF, _MAX_MOTIFS = 5.3, 1.0, 6


@dataclass(frozen=True)
class LoadSketch:
    """A load's drawing, and the letters in it that stand for ids without room, by id.

    It is made where it is first asked for: of most pages only the size is asked, of ``empty``.
    """

    empty: Sketch
    keys: dict[str, str]
    make: Callable[[Sketch], Sketch]

    @cached_property
    def sketch(self) -> Sketch:
        """Return the drawing with all that is drawn in it."""
        return self.make(self.empty)


def load_sketch(load: SheetLoad, title: str, room: tuple[float, float]) -> LoadSketch:
    """Return the drawing of a load on its bed, in a room of these millimetres."""
    bed = load.ground.bed
    part = shown_part(bed, load.ground.sheet)
    box = part or Bounds(0.0, 0.0, bed.width, bed.height)
    scale = fitting_scale(box, room)
    named = _Names(load, scale)

    def drawn(empty: Sketch) -> Sketch:
        words = [*_rest_words(load, scale), *named.words()]
        return replace(
            empty,
            ground=(*_grounds(load.ground), *_rests(load)),
            copies=tuple(_copies(load, named)),
            top=(*page_shapes(load, words), *_top(load, scale)),
            words=(*words, *page_words(load, scale, words), *stroke_words(load, scale, words)),
        )

    return LoadSketch(Sketch(box, scale, title, is_part=part is not None), named.keys, drawn)


def _grounds(ground: SheetGround) -> Iterator[Shape]:
    """Yield bed, keep-outs, sheet and work area."""
    bed = ground.bed
    yield Shape((bed.edge,), looks.BED)
    if ground.sheet is not None:
        # Only within the bed; the text describes what hangs over.
        yield Shape((within_bed(ground.sheet, bed),), looks.SHEET)
    yield Shape((ground.area.boundary,), looks.AREA)
    for each in kept_free(ground.area, bed):
        yield Shape((each,), looks.KEPT_FREE)
    for each in bed.keep_outs:
        yield Shape((each,), looks.KEEP_OUT)
    if ground.marks_corner:
        left, bottom, right, top = (ground.sheet or bed.edge).bounds
        arm = min(10.0, (right - left) / 4.0, (top - bottom) / 4.0)
        corner = [(left, bottom + arm), (left, bottom), (left + arm, bottom)]
        yield Shape((Chain.of(corner),), looks.CORNER)


def _kept(load: SheetLoad) -> Iterator[SheetRest]:
    """Yield the rests that are worth keeping: only those are drawn."""
    return (rest for rest in load.rests if rest.is_drawn)


def _rests(load: SheetLoad) -> Iterator[Shape]:
    for rest in _kept(load):
        box = rest.box
        yield Shape(
            (WorkArea.rectangle(box.left, box.bottom, box.width, box.height).boundary,), looks.REST
        )


def _rest_words(load: SheetLoad, scale: float) -> Iterator[Words]:
    for rest in _kept(load):
        box = rest.box
        upright = box.height > box.width
        along, across = max(box.width, box.height), min(box.width, box.height)
        size = min(_REST / scale, 0.4 * across, 1.5 * along / len(rest.words))
        if size * scale >= _SMALLEST:
            middle = Point((box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0)
            yield Words(rest.words, middle, size, upright)


def _copies(load: SheetLoad, named: _Names) -> Iterator[Copies]:
    for index, kind in enumerate(load.kinds):
        moves = tuple(move for at, move in load.placements if at == index)
        yield Copies(tuple(_of_kind(kind, named.arrow(index))), moves)


def _of_kind(kind: SheetKind, arrow: tuple[Chain, ...]) -> Iterator[Shape]:
    yield Shape((kind.outline, *kind.holes), looks.piece_look(kind.cut))
    if kind.template is not None:
        yield Shape((kind.template,), looks.SEAM)
    if kind.marks:
        yield Shape(kind.marks, looks.MARK)
    if arrow:
        yield Shape(arrow, looks.ARROW)


def _top(load: SheetLoad, scale: float) -> Iterator[Shape]:
    """Yield what lies over pieces: a blade's first cut, a die's notches, rings about motifs."""
    if load.bridges:
        yield Shape(load.bridges, looks.BRIDGE)
    if load.nicks:
        yield Shape(load.nicks, looks.NICK)
    if load.line_up:
        yield Shape(load.line_up, looks.LINE_UP)
    for x, y in load.ground.motifs:
        yield Shape((circle(Point(x, y), _MOTIF / scale),), looks.MOTIF)
    yield from pause_marks(load, scale)


def circle(middle: Point, radius: float) -> Outline:
    """Return a circle."""
    x, y = middle
    return Outline.of([(x + radius, y, 1.0), (x - radius, y, 1.0)])


class _Names:
    """Where the ids of a load's pieces stand, how large, and what stands for those without room."""

    def __init__(self, load: SheetLoad, scale: float) -> None:
        self._load, self._scale = load, scale
        ids = list(dict.fromkeys(kind.piece for kind in load.kinds))
        kinds = list(enumerate(load.kinds))
        wide = [
            name
            for name in ids
            if any(
                kind.piece == name and not kind.is_named and self._place(at, name) is None
                for at, kind in kinds
            )
        ]
        taken = {name.lower() for name in ids}
        free = (letter for letter in ascii_lowercase if letter not in taken)
        if len(ids) == 1:
            # It is the only one there: a letter would only be one thing more to look up.
            wide = []
        self.keys = dict(zip(wide, free, strict=False))
        placed = [
            None if kind.is_named else self._place(at, self._text(kind)) for at, kind in kinds
        ]
        if len(ids) == 1:
            # Small letters on every piece would only make arrows and lines hard to see.
            placed = [
                each
                if each and each.size * scale >= _ALONE and each.keeps_arrow(kind.arrow)
                else None
                for (_at, kind), each in zip(kinds, placed, strict=True)
            ]
        self._placed = placed

    def arrow(self, index: int) -> tuple[Chain, ...]:
        """Return the arrow of a kind, moved out of its name's way."""
        placed = self._placed[index]
        return self._load.kinds[index].arrow if placed is None else placed.arrow

    def words(self) -> Iterator[Words]:
        """Yield the text of each placement."""
        for index, move in self._load.placements:
            placed = self._placed[index]
            if placed is not None:
                text = self._text(self._load.kinds[index])
                yield Words(text, placed.at(move), placed.size)

    def _text(self, kind: SheetKind) -> str:
        return self.keys.get(kind.piece, kind.piece)

    def _place(self, index: int, text: str) -> PlacedName | None:
        """Return where a text stands on a kind of piece; ``None`` without room for it."""
        kind = self._load.kinds[index]
        drawn = DrawnKind(
            kind.template or kind.outline,
            (*kind.holes, *kind.marks, *self._motifs(index)),
            kind.arrow,
            kind.is_one_way,
        )
        turns = turns_of([move for at, move in self._load.placements if at == index])
        return place_name(drawn, text, turns, _LETTER / self._scale, _SMALLEST / self._scale)

    def _motifs(self, index: int) -> Iterator[Outline]:
        """Yield the rings of a print's motifs on a kind of piece, where they lie on most of all."""
        kind = self._load.kinds[index]
        box = kind.outline.bounds
        moves = [move for at, move in self._load.placements if at == index][:_MAX_MOTIFS]
        found: dict[tuple[float, float], None] = {}
        for move, (x, y) in product(moves, self._load.ground.motifs):
            at = _before(move, Point(x, y))
            if box.left <= at.x <= box.right and box.bottom <= at.y <= box.top:
                found[round(at.x, 1), round(at.y, 1)] = None
        for x, y in list(found)[:_MAX_MOTIFS]:
            yield circle(Point(x, y), _MOTIF / self._scale)


def _before(move: Rigid, at: Point) -> Point:
    """Return the point of a piece that a move places at a point of the bed."""
    cos, sin = cos_sin_deg(move.turn_deg)
    x, y = at.x - move.x, at.y - move.y
    along = x * cos + y * sin
    return Point(-along if move.mirrored else along, y * cos - x * sin)


def piece_sketch(piece: SheetPiece, room: tuple[float, float]) -> Sketch:
    """Return the drawing of a piece: its template, broken, within its patch."""
    box = (piece.patch if piece.shows_patch else piece.template).bounds
    arrow = (Shape(piece.arrow, looks.ARROW),) if piece.arrow else ()
    # Of a template alone there is one outline, of paper.
    drawn = (
        (Shape((piece.patch,), looks.PATCH), Shape((piece.template, *piece.holes), looks.SEAM))
        if piece.shows_patch
        else (Shape((piece.template, *piece.holes), looks.TEMPLATE),)
    )
    scale = fitting_scale(box, room)
    return Sketch(
        box,
        scale,
        f"{piece.id}: {piece.shape}",
        ground=(*drawn, *arrow),
        words=tuple(_edge_numbers(piece, _EDGE / scale)),
    )


def _edge_numbers(piece: SheetPiece, size: float) -> Iterator[Words]:
    """Yield the numbers of edges, inside the template beside the middle of each."""
    for number in piece.edges:
        part = piece.template.segments[number]
        ends = part.between(0.4, 0.6)
        middle = Point((ends.start.x + ends.end.x) / 2.0, (ends.start.y + ends.end.y) / 2.0)
        angle = math.atan2(ends.end.y - ends.start.y, ends.end.x - ends.start.x) + math.pi / 2.0
        at = Point(
            middle.x + 0.75 * size * math.cos(angle), middle.y + 0.75 * size * math.sin(angle)
        )
        yield Words(str(number), at, size)


def outline_sketch(outline: Outline, room: tuple[float, float], cut: str) -> Sketch:
    """Return the drawing of one outline alone."""
    box = outline.bounds
    shape = Shape((outline,), looks.piece_look(cut))
    return Sketch(box, fitting_scale(box, room), "", ground=(shape,))


@cache
def dial_shapes(angle_deg: float, radius: float = _DIAL) -> tuple[Shape, ...]:
    """Return a dial about 0, 0: its ring, the level line, and the blade at its angle."""
    x, y = (0.86 * radius * f(math.radians(angle_deg)) for f in (math.cos, math.sin))
    return (
        Shape((circle(Point(0.0, 0.0), radius),), looks.RING),
        Shape((Chain.of([(-radius, 0.0), (radius, 0.0)]),), looks.LEVEL),
        Shape((Chain.of([(-x, -y), (x, y)]),), looks.BLADE),
    )


def dial_sketch(angle_deg: float) -> Sketch:
    """Return the drawing of a blade's angle as a small dial."""
    r = _DIAL + 0.5
    title = _("dial: blade at {angle} degrees", angle=f"{angle_deg:g}")
    return Sketch(Bounds(-r, -r, r, r), 1.0, title, ground=dial_shapes(angle_deg))
