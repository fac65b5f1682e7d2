"""Drawings of a block on paper: with its letters, taken apart, and as a map of its sections."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from geometry import polygons
from geometry.blocks.section_rings import section_rings
from geometry.blocks.sections import Sewing
from geometry.errors import GeometryError
from geometry.marks.lines import grain_arrow
from geometry.measure import centroid
from geometry.model.outline import Chain, Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.model.transform import moved
from geometry.offset.allowance import make_patch
from service.blocks.marks import match_marks
from service.blocks.picture import block_tints
from service.blocks.pieces import NamedPiece
from service.blocks.reading import ReadBlock
from service.documents.pictures import looks
from service.documents.pictures.colours import Tint, is_dark
from service.documents.pictures.fabric_legend import fabric_hatchings, fabric_look
from service.documents.sketch import Hatching, Shape, Sketch, Words, fitting_scale
from service.requests.drawn_blocks import DrawnBlockRequest
from service.texts import gettext as _

#: Letters on paper, mm: the largest, and the smallest that can be read.
_LETTER, _SMALLEST = 4.2, 1.7
#: Share of a piece's room that a name may take, by its letters.
_OF_ROOM = 1.5
_PAPER = "#ffffff"
#: By how much farther from the middle pieces are moved, until their patches are apart.
_FACTORS = (1.15, 1.3, 1.5, 1.75, 2.0, 2.5, 3.0)
_CHORD = 0.05
_SECTION = looks.Look(None, looks.INK, 1.1)


@dataclass(frozen=True)
class BlockDrawings:
    """What is drawn of a block."""

    read: ReadBlock
    request: DrawnBlockRequest

    @cached_property
    def marks(self) -> Mapping[int, Sequence[Chain]]:
        """Return the match marks of pieces, by their numbers."""
        return match_marks(self.read.block)

    @cached_property
    def tints(self) -> Mapping[str, Tint]:
        """Return how each fabric is drawn."""
        return block_tints(dict.fromkeys(piece.fabric for piece in self.read.pieces))

    @cached_property
    def patches(self) -> Mapping[str, Outline | None]:
        """Return each piece's patch by its name; ``None`` where the allowance does not fit."""
        return {piece.name: self._patch(piece) for piece in self.read.pieces}

    def _patch(self, piece: NamedPiece) -> Outline | None:
        flags = self.read.block.is_outside(piece.member.face)
        edges = {at: self.request.outer_allowance for at, is_out in enumerate(flags) if is_out}
        try:
            return make_patch(piece.outline, self.request.allowance, edges=edges).outline
        except GeometryError:
            return None

    def arrow(self, piece: NamedPiece) -> tuple[Chain, ...]:
        """Return the lines of a piece's grain arrow in the block."""
        lines = grain_arrow(piece.group.outline)
        paths = [line.path for line in lines]
        return tuple(piece.member.move.chain(path) for path in paths if isinstance(path, Chain))

    def whole(self, room: tuple[float, float]) -> Sketch:
        """Return the block with names, fabrics, grain and match marks."""
        box = self.read.block.outline.bounds
        scale = fitting_scale(box, room)
        shapes: list[Shape] = []
        for piece in self.read.pieces:
            look = fabric_look(self.tints[piece.fabric])
            shapes.append(Shape((piece.outline, *piece.holes), look))
            shapes += self.inside(piece)
        words = (self._name(piece, piece.name, scale) for piece in self.read.pieces)
        return Sketch(
            box,
            scale,
            _("the block"),
            ground=tuple(shapes),
            hatchings=self._hatchings(
                [piece.outline for piece in self.read.pieces], scale, self.read.pieces
            ),
            words=tuple(each for each in words if each),
        )

    def inside(self, piece: NamedPiece) -> Iterator[Shape]:
        """Yield a piece's grain arrow and match marks."""
        if arrow := self.arrow(piece):
            yield Shape(arrow, looks.MARK)
        if marks := self.marks.get(piece.member.face):
            yield Shape(tuple(marks), looks.MARK)

    def _name(self, piece: NamedPiece, text: str, scale: float) -> Words | None:
        size = min(_LETTER, _OF_ROOM * piece.room * scale / max(1.0, 0.62 * len(text)))
        if size < _SMALLEST:
            return None
        fill = self.tints[piece.fabric].fill
        ink = _PAPER if is_dark(fill) else looks.INK
        return Words(text, piece.at, size / scale, ground=fill, ink=ink)

    def _hatchings(
        self, outlines: Sequence[Outline], scale: float, pieces: Sequence[NamedPiece]
    ) -> tuple[Hatching, ...]:
        """Return the hatching of fabrics that print alike in grey, over outlines of pieces."""
        by_fabric: dict[str, list[Outline]] = {}
        for outline, piece in zip(outlines, pieces, strict=True):
            by_fabric.setdefault(piece.fabric, []).append(outline)
        return tuple(fabric_hatchings(by_fabric, self.tints, scale))

    def apart(self, room: tuple[float, float]) -> Sketch:
        """Return the exploded view: every piece with its allowance, moved away from the middle."""
        shifts = self._shifts()
        pieces = self.read.pieces
        outlines = [self.patches[piece.name] or piece.outline for piece in pieces]
        boxes = [moved(each, *by).bounds for each, by in zip(outlines, shifts, strict=True)]
        box = Bounds.around(boxes)
        scale = fitting_scale(box, room)
        shapes: list[Shape] = []
        words: list[Words] = []
        for piece, outline, (x, y) in zip(pieces, outlines, shifts, strict=True):
            look = fabric_look(self.tints[piece.fabric])
            shapes.append(Shape((moved(outline, x, y),), look))
            if self.patches[piece.name]:
                shapes.append(Shape((moved(piece.outline, x, y),), looks.SEAM))
            name = self._name(piece, piece.name, scale)
            if name is not None:
                at = Point(name.at.x + x, name.at.y + y)
                words.append(replace(name, at=at))
        laid = [moved(each, *by) for each, by in zip(outlines, shifts, strict=True)]
        return Sketch(
            box,
            scale,
            _("exploded view"),
            ground=tuple(shapes),
            hatchings=self._hatchings(laid, scale, pieces),
            words=tuple(words),
        )

    def _shifts(self) -> list[tuple[float, float]]:
        """Return how pieces are moved from the middle of the block until patches do not overlap."""
        middle = centroid(self.read.block.outline)
        ways = [
            (at.x - middle.x, at.y - middle.y)
            for at in (centroid(piece.outline) for piece in self.read.pieces)
        ]
        rings = [
            polygons.flattened_polygon(self.patches[piece.name] or piece.outline, _CHORD)
            for piece in self.read.pieces
        ]
        shifts: list[tuple[float, float]] = []
        for factor in _FACTORS:
            shifts = [((factor - 1.0) * x, (factor - 1.0) * y) for x, y in ways]
            laid = [polygons.translate(ring, *by) for ring, by in zip(rings, shifts, strict=True)]
            tree = polygons.STRtree(laid)
            pairs = tree.query(laid, predicate="intersects")
            if all(one == two for one, two in zip(*pairs.tolist(), strict=True)):
                break
        return shifts

    def sections(self, sewing: Sewing, room: tuple[float, float]) -> Sketch:
        """Return the map of sections with the number of each piece in the order of sewing."""
        box = self.read.block.outline.bounds
        scale = fitting_scale(box, room)
        of_face = {piece.member.face: piece for piece in self.read.pieces}
        shapes: list[Shape] = []
        top: list[Shape] = []
        words: list[Words] = []
        for number, section in enumerate(sewing.sections, start=1):
            for order, face in enumerate(section.pieces, start=1):
                piece = of_face[face]
                look = looks.Look(self.tints[piece.fabric].fill, looks.QUIET, 0.25)
                shapes.append(Shape((piece.outline,), look))
                text = str(number) if len(section.pieces) == 1 else f"{number}.{order}"
                words += [each for each in (self._name(piece, text, scale),) if each]
            rings = section_rings(self.read.block, section.pieces)
            top.append(Shape(tuple(ring.outline for ring in rings), _SECTION))
        return Sketch(
            box,
            scale,
            _("map of sections"),
            ground=tuple(shapes),
            hatchings=self._hatchings(
                [piece.outline for piece in self.read.pieces], scale, self.read.pieces
            ),
            top=tuple(top),
            words=tuple(words),
        )


def names_without_room(sketch: Sketch, names: Sequence[str]) -> list[str]:
    """Return the names that a drawing has no room for."""
    shown = {words.text for words in sketch.words}
    return [name for name in names if name not in shown]
