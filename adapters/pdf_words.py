"""The words on a printed page, where no line of the plan crosses them.

It draws with reportlab on the caller's canvas.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby, product
from typing import Any

import numpy as np

from adapters.names import comment
from adapters.numbers import number
from adapters.page_lines import PageLines, go_round
from adapters.pages import holds, touches
from adapters.pdf_names import PieceName
from adapters.whole_pages import PrintedPage
from geometry.model.plan import CutPlan
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.sentences import said
from geometry.units import MM_PER_INCH, POINTS_PER_INCH

_POINT = POINTS_PER_INCH / MM_PER_INCH
#: Left edge of a page's text, as a share of its width.
_WORDS_AT = 0.27
#: Letter height of a page's text; heights of names in points below which they are hard to read,
#: or unreadable.
_PAGE, _NAME, _SMALL, _SMALLEST = 8.0, 7.0, 5.0, 3.0
#: How far letters reach below and above their line, as a share of their height.
_BELOW, _ABOVE = 0.25, 0.75
#: Steps between places that are tried for a page's text, mm.
_STEP_ACROSS, _STEP_UP = 6.0, 4.0
#: Heights within a piece's box at which its name is tried, as shares: first below its middle, clear
#: of removal holes. Where its letters begin or end along it.
_HEIGHTS = (0.3, 0.4, 0.5, 0.2, 0.6, 0.7, 0.8, 0.1, 0.9)
_PLACES = (0.5, 0.35, 0.65, 0.2, 0.8)


def write_page_words(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    plan: CutPlan,
    sheet: PrintedPage,
    margin: float,
    lines: PageLines,
    place: tuple[int, int],
    pieces: Sequence[PieceName] = (),
) -> None:
    """Write a page's title and number, where no line crosses them if there is such a place.

    Beside the ``pieces`` on the page, if they leave room there.
    """
    part, (count, all_of_them) = sheet.page.part, place
    number = said("page {count} of {all}", count=count, all=all_of_them)
    if sheet.is_joined:
        where = said("row {row}, column {column}", row=sheet.page.row, column=sheet.page.column)
        number = f"{number} ({where})"
    whole = f"{comment(plan.title)}: {number}" if plan.title else number
    # Inside the printable area for any margin, and between the crosses of a join.
    left = part.left + _WORDS_AT * part.width
    foot = part.bottom + max(0.0, 5.0 - margin) + 2.0 / _POINT
    first = Point(left, foot)
    outlines = [each for each in pieces if each.outline is not None]
    ways = [[whole], *([[comment(plan.title), number]] if plan.title else []), [number]]
    for around, words in product((outlines, ()), ways):
        found = _all_free(canvas, part, lines, (words, first), around)
        if len(found) == len(words):
            break
    else:
        words, found = [whole], [first]
    canvas.setFont("Helvetica", _PAGE)
    for text, at in zip(words, found, strict=True):
        width = canvas.stringWidth(text, "Helvetica", _PAGE) / _POINT
        lines.keep_off([_box(at, width, _PAGE)])
        canvas.drawString(
            (at.x - part.left + margin) * _POINT, (at.y - part.bottom + margin) * _POINT, text
        )


def _all_free(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    part: Bounds,
    lines: PageLines,
    words: tuple[Sequence[str], Point],
    outlines: Sequence[PieceName],
) -> list[Point]:
    """Return places for lines of text, each beside the ones before; of some if not of all."""
    found: list[Point] = []
    taken: list[Bounds] = []
    for text in words[0]:
        width = canvas.stringWidth(text, "Helvetica", _PAGE) / _POINT
        at = _free_on(part, lines, width, words[1], outlines, taken)
        if at is None:
            break
        found.append(at)
        taken.append(_box(at, width, _PAGE))
    return found


def _free_on(
    part: Bounds,
    lines: PageLines,
    width: float,
    first: Point,
    outlines: Sequence[PieceName],
    taken: Sequence[Bounds],
) -> Point | None:
    """Return the lowest place for a page's words, the usual one before others as low.

    It lies in none of some outlines, and over no earlier words.
    """
    ups = np.arange(first.y, part.top - _PAGE / _POINT, _STEP_UP).tolist()
    starts = np.arange(part.left + _STEP_ACROSS, part.right - width - _STEP_ACROSS, _STEP_ACROSS)
    fits = first.x + width <= part.right
    ways = [*([first.x] if fits else []), *starts.tolist()]
    for up, left in product(ups, ways):
        at = Point(left, up)
        box = _box(at, width, _PAGE)
        if (
            lines.leave_free(box)
            and not any(_inside(outline, at) for outline in outlines)
            and not any(touches(box, other) for other in taken)
        ):
            return at
    return None


def write_names(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    names: Sequence[PieceName],
    sheet: PrintedPage,
    margin: float,
    lines: PageLines,
) -> None:
    """Write the names of the pieces on a page, also those of which it shows a part."""
    part = sheet.page.part
    widths = {
        name: canvas.stringWidth(name, "Helvetica", 1.0) / _POINT
        for name in {each.name for each in names}
    }
    shown = []
    for each in names:
        here = each if each.outline is None else replace(each, box=_within(each.box, part))
        middle = Point((here.box.left + here.box.right) / 2.0, _up(here.box, _HEIGHTS[0]))
        if holds(part, middle):
            shown.append(here)
    found = _name_places(shown, widths, part, lines)
    corner = Point(margin - part.left, margin - part.bottom)
    _draw_names(canvas, zip(shown, found, strict=True), corner)


def _draw_names(
    canvas: Any,  # noqa: ANN401 - reportlab's canvas
    names: Iterable[tuple[PieceName, tuple[float, Point]]],
    corner: Point,
) -> None:
    """Draw names that are large enough to be read; ``corner`` moves the bed onto the page, mm.

    A page has hundreds of names: each letter height is stated once, and each place from the one
    before. Names are plain letters, as :func:`adapters.names.comment` returns them.
    """
    canvas.setFillGray(0.4)
    readable = (each for each in names if each[1][0] >= _SMALLEST)
    for size, some in groupby(readable, key=lambda each: each[1][0]):
        canvas.setFont("Helvetica", size)
        words, before = ["BT"], Point(0.0, 0.0)
        for each, (_, place) in some:
            at = Point((place.x + corner.x) * _POINT, (place.y + corner.y) * _POINT)
            move = f"{number(at.x - before.x)} {number(at.y - before.y)}"
            words.append(f"{move} Td ({each.name}) Tj")
            before = at
        canvas.addLiteral("\n".join([*words, "ET"]))


def _name_places(
    names: Sequence[PieceName], widths: Mapping[str, float], part: Bounds, lines: PageLines
) -> Iterator[tuple[float, Point]]:
    """Yield letter height, points, and place of each name: free of lines, or else the usual ones.

    The usual ones are tried together, because they are free in most pieces.
    """
    every = [_places(each.box, widths[each.name]) for each in names]
    usual = [next(places) for places in every]
    boxes = [
        _box(place, widths[each.name] * size, size)
        for each, (size, place) in zip(names, usual, strict=True)
    ]
    free = lines.leave_each_free(boxes).tolist()
    inside = _all_inside(names, boxes)
    for each, places, first, box, is_free, is_inside in zip(
        names, every, usual, boxes, free, inside, strict=True
    ):
        if is_free and is_inside and _is_on(part, box):
            yield first
        elif each.outline is None:
            # Where a blade leaves ties, nothing says what is inside.
            yield first
        else:
            yield _other_place(each, widths[each.name], part, lines, places) or first


def _all_inside(names: Sequence[PieceName], boxes: Sequence[Bounds]) -> list[bool]:
    """Return of each piece whether the lower left corner of a box is inside it, if it has one."""
    has = [at for at, each in enumerate(names) if each.outline is not None]
    corners = np.array([[boxes[at].left, boxes[at].bottom] for at in has]).reshape(-1, 2)
    outlines = [outline for each in names if (outline := each.outline) is not None]
    found = np.ones(len(names), dtype=bool)
    found[has] = go_round(outlines, corners)
    return found.tolist()


def _is_on(part: Bounds, box: Bounds) -> bool:
    return holds(part, Point(box.left, box.bottom)) and holds(part, Point(box.right, box.top))


def _other_place(
    each: PieceName,
    em: float,
    part: Bounds,
    lines: PageLines,
    places: Iterable[tuple[float, Point]],
) -> tuple[float, Point] | None:
    """Return the first letter height and place that is free of lines, on the page and inside."""
    for size, place in places:
        box = _box(place, em * size, size)
        if (
            _is_on(part, box)
            and lines.leave_free(box)
            and _inside(each, Point(box.left, box.bottom))
        ):
            return size, place
    return None


def _inside(piece: PieceName, place: Point) -> bool:
    """Return whether the outline of a piece goes round a point."""
    if piece.outline is None or not holds(piece.box, place):
        return False
    return bool(go_round([piece.outline], np.array([place]))[0])


def _within(box: Bounds, part: Bounds) -> Bounds:
    """Return the part of a box that a page shows."""
    return Bounds(
        max(box.left, part.left),
        max(box.bottom, part.bottom),
        min(box.right, part.right),
        min(box.top, part.top),
    )


def _places(box: Bounds, em: float) -> Iterator[tuple[float, Point]]:
    """Yield letter heights and places of a name, the usual ones first."""
    beside, across = 0.4 * box.width / em, 0.9 * box.width / em
    size = min(_NAME, beside if beside >= _SMALL else across)
    x, width = (box.left + box.right) / 2.0, em * size
    yield size, Point(x + 1.5 if beside >= _SMALL else x - width / 2.0, _up(box, _HEIGHTS[0]))
    for height in (size, *(each for each in (_SMALL, 4.0, _SMALLEST) if each < size)):
        for up, along in product(_HEIGHTS, _PLACES):
            yield (
                height,
                Point(box.left + along * box.width - em * height / 2.0, _up(box, up)),
            )


def _up(box: Bounds, share: float) -> float:
    return box.bottom + share * box.height


def _box(place: Point, width: float, size: float) -> Bounds:
    """Return the box of words from their left end on their line, mm; ``size`` in points."""
    high = size / _POINT
    return Bounds(place.x, place.y - _BELOW * high, place.x + width, place.y + _ABOVE * high)
