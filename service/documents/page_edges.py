"""The edges and numbers of printed pages in a load's picture, where pages are joined."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np
import numpy.typing as npt

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
    boxes = [polygons.box(*each.covered) for each in names]
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
            half = _half(text, size)
            middles = _middles(page.box, half)
            boxes = polygons.box(*(middles - half).T, *(middles + half).T)
            is_free = np.ones(len(middles), dtype=bool)
            is_free[taken.query(boxes, predicate="intersects")[0]] = False
            if is_free.any():
                x, y = middles[is_free.argmax()].tolist()
                yield Words(text, Point(x, y), size, ground="#ffffff")
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


def _middles(box: Bounds, half: tuple[float, float]) -> npt.NDArray[np.float64]:
    """Return places of a number on a page, one in each row, from the top and the left."""
    wide, high = box.width - 2.0 * half[0], box.height - 2.0 * half[1]
    if wide < 0.0 or high < 0.0:
        return np.empty((0, 2))
    steps = np.arange(_TRIED + 1)
    down, across = np.meshgrid(steps, steps, indexing="ij")
    x = box.left + half[0] + across.ravel() * wide / _TRIED
    y = box.top - half[1] - down.ravel() * high / _TRIED
    return np.stack([x, y], axis=1)


def _obstacles(load: SheetLoad, names: Sequence[Words]) -> Iterator[polygons.BaseGeometry]:
    """Yield pieces, names and all other lines."""
    for index, move in load.placements:
        yield polygons.Polygon(flattened(move.outline(load.kinds[index].outline), _CHORD))
    for each in names:
        yield polygons.box(*each.covered)
    bed = load.ground.bed
    for edge in (
        bed.edge,
        load.ground.area.boundary,
        *(_frame(page.box) for page in load.pages),
    ):
        points = flattened(edge, _CHORD)
        yield polygons.LineString([*points, points[0]])


def _frame(box: Bounds) -> Outline:
    return WorkArea.rectangle(box.left, box.bottom, box.width, box.height).boundary
