"""Tiling of a bed over sheets of paper: the pages, and the marks that join neighbours."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.model.points import Point
from geometry.model.segments import Bounds

#: Edges closer than this, mm, are equal.
_SAME = 1e-6
#: Maximum pages of a file.
MAX_PAGES = 400
#: Positions of marks along a join, as shares of its length.
_SHARES = (0.2, 0.8)


@dataclass(frozen=True)
class BedPage:
    """A page's part of the bed, mm, and its row and column, from the upper left."""

    row: int
    column: int
    part: Bounds


@dataclass(frozen=True)
class JoinMark:
    """A point on the bed, mm, that two neighbouring pages both show, and its name."""

    place: Point
    name: str


def pages(
    bed: tuple[float, float], sheet: tuple[float, float], overlap: float
) -> tuple[int, Iterator[BedPage]]:
    """Return how many sheets cover a bed, and the pages row by row from the upper left.

    Args:
        bed: width and height, mm.
        sheet: printable area of a sheet, mm, larger than the overlap each way.
        overlap: overlap of neighbours, mm.
    """
    columns, rows = (
        max(1, math.ceil((whole - overlap) / (side - overlap) - 1e-9))
        for whole, side in zip(bed, sheet, strict=True)
    )
    return rows * columns, (
        BedPage(row + 1, column + 1, _part(bed[1], sheet, overlap, row, column))
        for row in range(rows)
        for column in range(columns)
    )


def pages_over(
    drawn: Bounds, bed: tuple[float, float], sheet: tuple[float, float], overlap: float
) -> tuple[int, Iterator[BedPage]]:
    """Return how many sheets cover what is drawn, and the pages row by row from the upper left.

    The sheets are centred on the bed, and moved from there only as far as the drawing needs: on a
    sheet of the bed's size everything keeps its place.

    Args:
        drawn: the box of all strokes, mm.
        bed: width and height, mm.
        sheet: printable area of a sheet, mm, larger than the overlap each way.
        overlap: overlap of neighbours, mm.
    """
    count, every = pages((drawn.width, drawn.height), sheet, overlap)
    listed = list(every) if count <= MAX_PAGES else []
    if not listed:
        return count, iter(())
    # From the upper left corner of the first sheet to the lower right one of the last.
    last = listed[-1].part
    dx = _start(bed[0], last.right, drawn.left, drawn.right)
    bottom = _start(bed[1], drawn.height - last.bottom, drawn.bottom, drawn.top)
    dy = bottom - last.bottom
    return count, (
        BedPage(
            page.row,
            page.column,
            Bounds(
                page.part.left + dx,
                page.part.bottom + dy,
                page.part.right + dx,
                page.part.top + dy,
            ),
        )
        for page in listed
    )


def _start(bed: float, length: float, first: float, last: float) -> float:
    """Return where a length starts that holds the drawing, as near the bed's middle as it can."""
    return min(max((bed - length) / 2.0, last - length), first)


def _part(
    height: float, sheet: tuple[float, float], overlap: float, row: int, column: int
) -> Bounds:
    left, top = column * (sheet[0] - overlap), height - row * (sheet[1] - overlap)
    return Bounds(left, top - sheet[1], left + sheet[0], top)


def touches(part: Bounds, box: Bounds) -> bool:
    """Return whether the contents of a box may show on a page."""
    return (
        box.right >= part.left
        and box.left <= part.right
        and box.top >= part.bottom
        and box.bottom <= part.top
    )


def marks(shown: Sequence[BedPage]) -> list[JoinMark]:
    """Return two marks for each join of neighbouring pages, in the middle of what both show."""
    at = {(page.row, page.column): page.part for page in shown}
    found: list[JoinMark] = []
    joins = 0
    for page in shown:
        for row, column in ((page.row, page.column + 1), (page.row + 1, page.column)):
            if (row, column) not in at:
                continue
            other = at[row, column]
            found.extend(_pair(page.part, other, _letters(joins)))
            joins += 1
    return found


def _pair(a: Bounds, b: Bounds, name: str) -> Iterator[JoinMark]:
    left, right = max(a.left, b.left), min(a.right, b.right)
    bottom, top = max(a.bottom, b.bottom), min(a.top, b.top)
    for number, share in enumerate(_SHARES, start=1):
        if top - bottom > right - left:
            place = Point((left + right) / 2.0, top - share * (top - bottom))
        else:
            place = Point(left + share * (right - left), (top + bottom) / 2.0)
        yield JoinMark(place, f"{name}{number}")


def _letters(number: int) -> str:
    """Return A to Z, then AA and so on."""
    first, last = divmod(number, 26)
    return (_letters(first - 1) if first else "") + chr(ord("A") + last)


def holds(part: Bounds, place: Point) -> bool:
    """Return whether a page shows a point."""
    return (
        part.left - _SAME <= place.x <= part.right + _SAME
        and part.bottom - _SAME <= place.y <= part.top + _SAME
    )
