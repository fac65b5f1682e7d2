"""Foundations on pages: small ones side by side, large ones on pages of their own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from geometry.blocks.sections import Section
from geometry.model.outline import Chain, Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid
from service.blocks.drawings import BlockDrawings
from service.blocks.pages import Foundation, foundation
from service.documents.sketch import Shape, Sketch, Words
from service.documents.true_size import tiles_of
from service.texts import gettext as _

#: Between foundations on a page, and the height of the line above each, mm.
_GAP, _LABEL = 5.0, 5.0
_LETTERS = 3.2
#: Half the width of a label's letter, as a share of its height.
_HALF_LETTER = 0.3


@dataclass(frozen=True)
class FoundationPage:
    """Foundations on one page, or one that is larger than a page.

    Args:
        sections: their numbers, from 1.
        sketch: what is drawn.
        is_turned: whether a large one is turned by a quarter, so that it takes fewer pages.
    """

    sections: tuple[int, ...]
    sketch: Sketch
    is_turned: bool = False


@dataclass(frozen=True)
class _Placed:
    """A foundation, and the upper left corner of its label on the page."""

    number: int
    made: Foundation
    at: Point


def foundation_pages(
    drawings: BlockDrawings, sections: Sequence[tuple[int, Section]], room: tuple[float, float]
) -> Iterator[FoundationPage]:
    """Yield the pages of foundations; none is split that fits on a page.

    Small ones stand in rows, the highest first: first fit by decreasing height.

    Source:
        Coffman, Garey, Johnson, Tarjan, "Performance Bounds for Level-Oriented Two-Dimensional
        Packing Algorithms", SIAM Journal on Computing 9(4), 1980.

    Args:
        drawings: of the block.
        sections: of several pieces, each with its number.
        room: width and height of a page, mm.
    """
    small: list[tuple[int, Foundation]] = []
    for number, section in sections:
        made = foundation(drawings, section, room)
        box = made.sketch.box
        if box.height + _LABEL > room[1] or len(tiles_of(box, room).tiles) > 1:
            yield FoundationPage((number,), made.sketch, made.is_turned)
        else:
            small.append((number, made))
    small.sort(
        key=lambda each: (-round(each[1].sketch.box.height, 3), -round(each[1].sketch.box.width, 3))
    )
    for page in _pages(_rows(small, room[0]), room[1]):
        yield _drawn(page)


@dataclass
class _Row:
    """Foundations side by side, and how wide and high they are with what is above each, mm."""

    foundations: list[tuple[int, Foundation]]
    width: float
    height: float


def _rows(small: Sequence[tuple[int, Foundation]], room: float) -> list[_Row]:
    """Return rows of foundations, the first of each the highest; each is in the first with room."""
    rows: list[_Row] = []
    for each in small:
        width = max(each[1].sketch.box.width, _label_width(each[0]))
        row = next((row for row in rows if row.width + _GAP + width <= room), None)
        if row is None:
            rows.append(_Row([each], width, _LABEL + each[1].sketch.box.height))
        else:
            row.foundations.append(each)
            row.width += _GAP + width
    return rows


def _pages(rows: Sequence[_Row], room: float) -> list[list[_Placed]]:
    """Return where foundations stand on pages; each row is on the first with room."""
    pages: list[list[_Placed]] = []
    used: list[float] = []
    for row in rows:
        at = next((at for at, high in enumerate(used) if high + row.height <= room), len(pages))
        if at == len(pages):
            pages.append([])
            used.append(0.0)
        x = 0.0
        for number, made in row.foundations:
            pages[at].append(_Placed(number, made, Point(x, -used[at])))
            x += max(made.sketch.box.width, _label_width(number)) + _GAP
        used[at] += row.height + _GAP
    return pages


def _label(number: int) -> str:
    return _("Section {number}", number=number)


def _label_width(number: int) -> float:
    return 2.0 * _HALF_LETTER * _LETTERS * len(_label(number))


def _drawn(page: Sequence[_Placed]) -> FoundationPage:
    """Return a page; a foundation that is alone on it needs no label."""
    if len(page) == 1:
        made = page[0].made
        return FoundationPage((page[0].number,), made.sketch, made.is_turned)
    shapes: list[Shape] = []
    words: list[Words] = []
    boxes: list[Bounds] = []
    for each in page:
        box = each.made.sketch.box
        move = Rigid(0.0, each.at.x - box.left, each.at.y - _LABEL - box.top)
        shapes += [
            replace(shape, paths=tuple(_moved(path, move) for path in shape.paths))
            for shape in each.made.sketch.ground
        ]
        words += [
            replace(word, at=Point(word.at.x + move.x, word.at.y + move.y))
            for word in each.made.sketch.words
        ]
        wide = max(box.width, _label_width(each.number))
        start = Point(each.at.x, each.at.y - _LABEL / 2.0)
        words.append(Words(_label(each.number), start, _LETTERS, begins=True))
        bottom = each.at.y - _LABEL - box.height
        boxes.append(Bounds(each.at.x, bottom, each.at.x + wide, each.at.y))
    numbers = tuple(sorted(each.number for each in page))
    title = page[0].made.sketch.title
    return FoundationPage(
        numbers,
        Sketch(Bounds.around(boxes), 1.0, title, ground=tuple(shapes), words=tuple(words)),
    )


def _moved(path: Outline | Chain, move: Rigid) -> Outline | Chain:
    return move.outline(path) if isinstance(path, Outline) else move.chain(path)
