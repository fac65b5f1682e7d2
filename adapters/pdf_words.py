"""The words on a printed page, where no line of the plan crosses them.

It draws with reportlab on the caller's canvas.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import chain, product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from adapters.names import comment
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
#: Words keep more than this from lines, mm.
_CLEAR = 0.6
#: How far letters reach below and above their line, as a share of their height.
_BELOW, _ABOVE = 0.25, 0.75
#: Steps between places that are tried for a page's text, mm.
_STEP_ACROSS, _STEP_UP = 6.0, 4.0
#: Heights within a piece's box at which its name is tried, as shares: first below its middle, clear
#: of removal holes. Where its letters begin or end along it.
_HEIGHTS = (0.3, 0.4, 0.5, 0.2, 0.6, 0.7, 0.8, 0.1, 0.9)
_PLACES = (0.5, 0.35, 0.65, 0.2, 0.8)
_Floats = NDArray[np.float64]


class PageLines:
    """Lines, marks and words of a page, as chords, and whether they leave a place free."""

    def __init__(self, ways: Iterable[_Floats]) -> None:
        self._ways = list(ways)
        self._low = np.array([way.min(axis=0) for way in self._ways]).reshape(-1, 2)
        self._high = np.array([way.max(axis=0) for way in self._ways]).reshape(-1, 2)

    def keep_off(self, boxes: Iterable[Bounds]) -> None:
        """Keep words off some boxes too."""
        for box in boxes:
            low, high = np.array([box.left, box.bottom]), np.array([box.right, box.top])
            self._ways.append(np.array([low, high]))
            self._low, self._high = np.vstack([self._low, low]), np.vstack([self._high, high])

    def leave_free(self, box: Bounds) -> bool:
        """Return whether no line comes near to a box."""
        low = np.array([box.left, box.bottom]) - _CLEAR
        high = np.array([box.right, box.top]) + _CLEAR
        near = ((self._low <= high) & (self._high >= low)).all(axis=1)
        return not any(_meets(self._ways[at], low, high) for at in np.flatnonzero(near))


def _meets(way: _Floats, low: _Floats, high: _Floats) -> bool:
    """Return whether a chain of chords meets a box: no axis separates a chord from it."""
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    steps, centres = np.diff(way, axis=0), (way[1:] + way[:-1]) / 2.0 - middle
    apart = (np.abs(centres) > np.abs(steps) / 2.0 + half).any(axis=1)
    cross = np.abs(steps[:, 0] * centres[:, 1] - steps[:, 1] * centres[:, 0])
    beside = cross > half[0] * np.abs(steps[:, 1]) + half[1] * np.abs(steps[:, 0])
    return bool((~apart & ~beside).any())


def _inside(outline: _Floats, place: Point) -> bool:
    """Return whether a closed chain of chords goes round a point."""
    start, end = outline[:-1], outline[1:]
    over = (start[:, 1] > place.y) != (end[:, 1] > place.y)
    start, end = start[over], end[over]
    share = (place.y - start[:, 1]) / (end[:, 1] - start[:, 1])
    return bool((start[:, 0] + share * (end[:, 0] - start[:, 0]) > place.x).sum() % 2)


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
    outlines = [each.outline for each in pieces if each.outline is not None]
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
    outlines: Sequence[_Floats],
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
    outlines: Sequence[_Floats],
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
    dx, dy = margin - part.left, margin - part.bottom
    canvas.setFillGray(0.4)
    text = canvas.beginText()
    widths = {
        name: canvas.stringWidth(name, "Helvetica", 1.0) / _POINT
        for name in {each.name for each in names}
    }
    for each in names:
        if not each.is_on(sheet):
            continue
        here = each.box if each.outline is None else _within(each.box, part)
        middle = Point((here.left + here.right) / 2.0, here.bottom + _HEIGHTS[0] * here.height)
        if not holds(part, middle):
            continue
        size, place = _place(replace(each, box=here), widths[each.name], part, lines)
        if size >= _SMALLEST:
            text.setFont("Helvetica", size)
            text.setTextOrigin((place.x + dx) * _POINT, (place.y + dy) * _POINT)
            text.textOut(each.name)
    canvas.drawText(text)


def _place(each: PieceName, em: float, part: Bounds, lines: PageLines) -> tuple[float, Point]:
    """Return letter height, points, and place of a name: free of lines, or else the usual ones."""
    places = _places(each.box, em)
    usual = next(places)
    # Where a blade leaves ties, nothing says what is inside.
    for size, place in chain([usual], places if each.outline is not None else ()):
        box = _box(place, em * size, size)
        corners = (Point(box.left, box.bottom), Point(box.right, box.top))
        if (
            all(holds(part, corner) for corner in corners)
            and lines.leave_free(box)
            and (each.outline is None or _inside(each.outline, corners[0]))
        ):
            return size, place
    return usual


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
