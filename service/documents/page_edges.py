"""The edges and numbers of printed pages in a load's picture, where pages are joined."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, product

from geometry import polygons
from geometry.measure import flattened
from geometry.model.cutter import WorkArea
from geometry.model.outline import Chain, Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from service.documents.model import SheetLoad, SheetPage
from service.documents.pictures import looks
from service.documents.pictures.letters import width_of
from service.documents.sketch import Shape, Words
from service.texts import gettext as _
from service.texts import ngettext

#: Heights of a number, mm on paper, the largest that has room; places tried across and down a page.
_LETTERS, _TRIED = (3.4, 2.6, 2.0, 1.6), 48
#: Room about a number, in heights.
_AIR = 0.4
#: Tolerance of arcs' chords, mm; it affects only where numbers stand.
_CHORD = 0.1


def page_shapes(load: SheetLoad, names: Sequence[Words]) -> Iterator[Shape]:
    """Yield the edges of the pages that a load is printed on, with gaps where names stand."""
    boxes = [polygons.box(*_name_box(each)) for each in names]
    for page in load.pages:
        left, bottom, right, top = page.box
        corners = [(left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)]
        edge = polygons.LineString(corners)
        for each in boxes:
            edge = polygons.difference(edge, each)
        lines = polygons.get_parts(edge)
        yield Shape(
            tuple(Chain.of(polygons.get_coordinates(line).tolist()) for line in lines), looks.PAGE
        )


def page_words(load: SheetLoad, scale: float, names: Sequence[Words]) -> Iterator[Words]:
    """Yield the number of each page in free room on it, as far up and left as there is some."""
    if not load.pages:
        return
    taken = polygons.STRtree(list(_obstacles(load, names)))
    for page in load.pages:
        text = _("page {n}", n=page.number)
        for letter in _LETTERS:
            size = letter / scale
            middles = list(_middles(page.box, _half(text, size)))
            boxes = [_box(each, _half(text, size)) for each in middles]
            hit = {*taken.query(boxes, predicate="intersects")[0].tolist()}
            free = next((at for at in range(len(middles)) if at not in hit), None)
            if free is not None:
                yield Words(text, middles[free], size, ground="#ffffff")
                break


def page_note(pages: Sequence[SheetPage]) -> Iterator[str]:
    """Yield what the edges of pages in a picture are, and which page is where."""
    if not pages:
        return
    if len(pages) == 1:
        yield _("Dotted in the picture is the edge of its page.")
        return
    rows = [list(each) for _row, each in groupby(pages, key=lambda page: page.row)]
    tops = [row[0].box.top for row in rows]
    where = "; ".join(
        ngettext(
            "row {row} from the top: page {pages}",
            "row {row} from the top: pages {pages}",
            len(row),
            row=number,
            pages=", ".join(str(page.number) for page in row),
        )
        for number, row in enumerate(rows, start=1)
    )
    if len(rows) == 1 or tops != sorted(set(tops), reverse=True):
        # Pages of several large pieces, which lie anywhere.
        where = ngettext(
            "page {pages}",
            "pages {pages}",
            len(pages),
            pages=", ".join(str(page.number) for page in pages),
        )
    yield _(
        "Dotted in the picture are the edges of the pages ({where}). Join them before you cut "
        "anything out.",
        where=where,
    )


def _half(text: str, size: float) -> tuple[float, float]:
    """Return half the width and height that a number takes, with air about it."""
    return (width_of(text) / 2.0 + _AIR) * size, (0.5 + _AIR) * size


def _middles(box: Bounds, half: tuple[float, float]) -> Iterator[Point]:
    wide, high = box.width - 2.0 * half[0], box.height - 2.0 * half[1]
    if wide < 0.0 or high < 0.0:
        return
    for down, across in product(range(_TRIED + 1), repeat=2):
        x, y = across * wide / _TRIED, down * high / _TRIED
        yield Point(box.left + half[0] + x, box.top - half[1] - y)


def _box(middle: Point, half: tuple[float, float]) -> polygons.Polygon:
    (x, y), (wide, high) = middle, half
    return polygons.box(x - wide, y - high, x + wide, y + high)


def _name_box(name: Words) -> tuple[float, float, float, float]:
    wide, high = (side / 2.0 for side in name.ground_box)
    if name.upright:
        wide, high = high, wide
    x, y = name.at
    return x - wide, y - high, x + wide, y + high


def _obstacles(load: SheetLoad, names: Sequence[Words]) -> Iterator[polygons.BaseGeometry]:
    """Yield pieces, names and all other lines."""
    for index, move in load.placements:
        yield polygons.Polygon(flattened(move.outline(load.kinds[index].outline), _CHORD))
    for each in names:
        yield polygons.box(*_name_box(each))
    bed = load.ground.bed
    for edge in (
        bed.boundary or WorkArea.rectangle(0.0, 0.0, bed.width, bed.height).boundary,
        load.ground.area.boundary,
        *(_frame(page.box) for page in load.pages),
    ):
        points = flattened(edge, _CHORD)
        yield polygons.LineString([*points, points[0]])


def _frame(box: Bounds) -> Outline:
    return WorkArea.rectangle(box.left, box.bottom, box.width, box.height).boundary
