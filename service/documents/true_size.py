"""Drawings at true size on printed pages, over several pages where they are larger than one.

Neighbouring pages overlap. Crosses in the overlap have the same letter on both pages: cut one page
along its broken line, and lay cross on cross.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from string import ascii_lowercase

from reportlab.platypus import Flowable, PageBreak

from geometry import polygons
from geometry.measure import flattened
from geometry.model.outline import Chain, Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from service.documents.plain import paragraph
from service.documents.sketch import Sketch
from service.documents.sketch_pdf import MM, SketchDrawing
from service.documents.type_face import REGULAR
from service.documents.typesetting import BODY, HEAD, MARGIN, PAPERS
from service.texts import gettext as _

#: How far neighbouring pages overlap, mm.
_OVERLAP = 12.0
#: Of a page, points: what headings and the footer take.
_TAKEN = 14.0 + 78.0
_ARM, _LETTER = 2.5, 3.0
_AIR = 1.0
#: Arcs become lines within this, mm; less than an area, mm2, is nothing.
_CHORD, _NOTHING = 0.1, 1e-3


@dataclass(frozen=True)
class Cross:
    """Where neighbouring pages are laid over each other."""

    at: Point
    letter: str


@dataclass(frozen=True)
class Tile:
    """What of a drawing one page shows; columns from the left and rows from the top, from 1."""

    box: Bounds
    column: int
    row: int


@dataclass(frozen=True)
class Tiles:
    """The pages of one drawing, and the crosses by which they are joined."""

    columns: int
    rows: int
    tiles: tuple[Tile, ...]
    crosses: tuple[Cross, ...]

    def alone(self, tile: Tile) -> Bounds:
        """Return the part of a page that no other page shows."""
        box = tile.box
        return Bounds(
            box.left + _OVERLAP * (tile.column > 1),
            box.bottom + _OVERLAP * (tile.row < self.rows),
            box.right - _OVERLAP * (tile.column < self.columns),
            box.top - _OVERLAP * (tile.row > 1),
        )


def page_room(paper: str) -> tuple[float, float]:
    """Return the width and height that a drawing has on a page, mm."""
    width, height = PAPERS[paper]
    return (width - 2 * MARGIN) / MM - 2 * _AIR, (height - 2 * MARGIN - _TAKEN) / MM - 2 * _AIR


def tiles_of(box: Bounds, room: tuple[float, float]) -> Tiles:
    """Return the pages on which a box is drawn at true size."""
    xs = _windows(box.left, box.width, room[0])
    ys = [(-high, -low) for low, high in _windows(-box.top, box.height, room[1])]
    tiles = tuple(
        Tile(Bounds(left, bottom, right, top), column, row)
        for row, (bottom, top) in enumerate(ys, start=1)
        for column, (left, right) in enumerate(xs, start=1)
    )
    places = [*_beside(xs, ys)]
    crosses = tuple(Cross(at, _name(number)) for number, at in enumerate(places))
    return Tiles(len(xs), len(ys), tiles, crosses)


def needed(tiles: Tiles, sketch: Sketch) -> Tiles:
    """Return the pages without those that show nothing but what their neighbours show.

    The others stay joined, side by side; so do the crosses that two of them have.
    """
    drawn = polygons.union_all([_ground(path) for each in sketch.ground for path in each.paths])
    kept = list(tiles.tiles)
    for tile in tiles.tiles:
        others = [each for each in kept if each != tile]
        shown = polygons.union_all([polygons.box(*each.box) for each in others])
        own = polygons.difference(polygons.intersection(drawn, polygons.box(*tile.box)), shown)
        if others and polygons.area(own) < _NOTHING and _are_joined(others):
            kept = others
    crosses = tuple(
        cross for cross in tiles.crosses if sum(_holds(each.box, cross.at) for each in kept) > 1
    )
    return replace(tiles, tiles=tuple(kept), crosses=crosses)


def _ground(path: Outline | Chain) -> polygons.Geometry:
    """Return what an outline covers; marks and arrows lie in outlines."""
    if isinstance(path, Chain):
        return polygons.Polygon()
    points = flattened(path, _CHORD)
    region = polygons.Polygon(points if len(points) > 2 else None)  # noqa: PLR2004 - a ring
    return polygons.buffer(region, _CHORD)


def _are_joined(tiles: Sequence[Tile]) -> bool:
    """Return whether a way from page to neighbouring page leads to all of them."""
    rest = {(tile.column, tile.row) for tile in tiles}
    ways = [rest.pop()]
    while ways:
        column, row = ways.pop()
        for step in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            beside = (column + step[0], row + step[1])
            if beside in rest:
                rest.remove(beside)
                ways.append(beside)
    return not rest


def _holds(box: Bounds, at: Point) -> bool:
    return box.left <= at.x <= box.right and box.bottom <= at.y <= box.top


def _windows(start: float, length: float, room: float) -> list[tuple[float, float]]:
    """Return equal parts of a length that overlap, each as long as the room at most."""
    count = 1
    if length > room:
        count = math.ceil((length - _OVERLAP) / (room - _OVERLAP) - 1e-9)
    size = (length + (count - 1) * _OVERLAP) / count
    step = size - _OVERLAP
    return [(start + at * step, start + at * step + size) for at in range(count)]


def _beside(xs: list[tuple[float, float]], ys: list[tuple[float, float]]) -> Iterator[Point]:
    """Yield the places of crosses: two for each pair of pages beside or above each other."""
    for one, two in itertools.pairwise(xs):
        middle = (two[0] + one[1]) / 2.0
        for low, high in ys:
            yield from (Point(middle, low + share * (high - low)) for share in (0.25, 0.75))
    for one, two in itertools.pairwise(ys):
        middle = (two[1] + one[0]) / 2.0
        for low, high in xs:
            yield from (Point(low + share * (high - low), middle) for share in (0.25, 0.75))


def _name(number: int) -> str:
    found, rest = "", number + 1
    while rest:
        rest, letter = divmod(rest - 1, len(ascii_lowercase))
        found = ascii_lowercase[letter] + found
    return found


class _TileDrawing(Flowable):  # type: ignore[misc]
    """One page of a drawing at true size: nothing is drawn beyond its edge."""

    def __init__(self, sketch: Sketch, tile: Tile, tiles: Tiles) -> None:
        super().__init__()
        self.sketch, self.tile, self.tiles = sketch, tile, tiles

    def wrap(self, *_: float) -> tuple[float, float]:
        """Return its size in points."""
        box = self.tile.box
        return (box.width + 2 * _AIR) * MM, (box.height + 2 * _AIR) * MM

    def draw(self) -> None:
        """Draw it."""
        canvas, box, whole = self.canv, self.tile.box, self.sketch.box
        is_one = len(self.tiles.tiles) == 1
        canvas.saveState()
        canvas.translate(_AIR * MM, _AIR * MM)
        if not is_one:
            edge = canvas.beginPath()
            edge.rect(0.0, 0.0, box.width * MM, box.height * MM)
            canvas.clipPath(edge, stroke=0, fill=0)
        drawing = SketchDrawing(_shown(self.sketch, box))
        drawing.canv = canvas
        canvas.saveState()
        pad = (drawing.wrap()[0] - whole.width * MM) / 2.0
        canvas.translate((whole.left - box.left) * MM - pad, (whole.bottom - box.bottom) * MM - pad)
        drawing.draw()
        canvas.restoreState()
        if not is_one:
            self._joins()
        canvas.restoreState()

    def _joins(self) -> None:
        canvas, box = self.canv, self.tile.box
        canvas.setStrokeColor("#000000")
        canvas.setFillColor("#000000")
        canvas.setLineWidth(0.4)
        canvas.setFont(REGULAR, _LETTER * MM)
        for cross in self.tiles.crosses:
            x, y = cross.at
            if not _holds(box, cross.at):
                continue
            px, py, arm = (x - box.left) * MM, (y - box.bottom) * MM, _ARM * MM
            canvas.line(px - arm, py, px + arm, py)
            canvas.line(px, py - arm, px, py + arm)
            canvas.drawString(px + 0.8 * MM, py + 0.8 * MM, cross.letter)
        canvas.setDash([3.0, 2.0])
        wide, high = box.width * MM, box.height * MM
        tile = self.tile
        others = {(each.column, each.row) for each in self.tiles.tiles}
        # Only where another page goes on.
        if (tile.column - 1, tile.row) in others:
            canvas.line(0.0, 0.0, 0.0, high)
        if (tile.column + 1, tile.row) in others:
            canvas.line(wide, 0.0, wide, high)
        if (tile.column, tile.row - 1) in others:
            canvas.line(0.0, high, wide, high)
        if (tile.column, tile.row + 1) in others:
            canvas.line(0.0, 0.0, wide, 0.0)
        canvas.setDash()


def _shown(sketch: Sketch, box: Bounds) -> Sketch:
    """Return a drawing with those words only whose middle lies in a box, so that none is cut."""
    words = tuple(each for each in sketch.words if _holds(box, each.at))
    return replace(sketch, words=words)


def true_size_pages(sketch: Sketch, paper: str, heading: str, notes: str) -> Iterator[Flowable]:
    """Yield a drawing at true size, each part of it on a page of its own.

    Args:
        sketch: what is drawn; its scale is 1.
        paper: ``letter`` or ``a4``.
        heading: above each part.
        notes: below the heading.
    """
    tiles = needed(tiles_of(sketch.box, page_room(paper)), sketch)
    for tile in tiles.tiles:
        yield PageBreak()
        yield paragraph(heading, HEAD)
        yield paragraph(f"{notes}{_where(tile, tiles)}", BODY)
        yield _TileDrawing(sketch, tile, tiles)


def _where(tile: Tile, tiles: Tiles) -> str:
    if len(tiles.tiles) == 1:
        return ""
    where = _(
        "Column {column} of {columns}, row {row} of {rows} from the top: lay equal crosses over "
        "each other.",
        column=tile.column,
        columns=tiles.columns,
        row=tile.row,
        rows=tiles.rows,
    )
    return f" {where}"
