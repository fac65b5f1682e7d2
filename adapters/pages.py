"""Tiling of a bed over sheets of paper: the pages, and the marks that join neighbours."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.model.points import Point
from geometry.model.segments import Bounds

#: Edges closer than this, mm, are equal.
_SAME = 1e-6
#: Positions of marks along a join, as shares of its length.
_SHARES = (0.2, 0.8)


@dataclass(frozen=True)
class Page:
    """A page's part of the bed, mm, and its row and column, from the upper left."""

    row: int
    column: int
    part: Bounds


@dataclass(frozen=True)
class Mark:
    """A point on the bed, mm, that two neighbouring pages both show, and its name."""

    place: Point
    name: str


def pages(
    bed: tuple[float, float], sheet: tuple[float, float], overlap: float
) -> tuple[int, Iterator[Page]]:
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
        Page(row + 1, column + 1, _part(bed[1], sheet, overlap, row, column))
        for row in range(rows)
        for column in range(columns)
    )


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


def marks(shown: Sequence[Page]) -> list[Mark]:
    """Return two marks for each join of neighbouring pages, in the middle of what both show."""
    at = {(page.row, page.column): page.part for page in shown}
    found: list[Mark] = []
    joins = 0
    for page in shown:
        for row, column in ((page.row, page.column + 1), (page.row + 1, page.column)):
            if (row, column) not in at:
                continue
            other = at[row, column]
            found.extend(_pair(page.part, other, _letters(joins)))
            joins += 1
    return found


def _pair(a: Bounds, b: Bounds, name: str) -> Iterator[Mark]:
    left, right = max(a.left, b.left), min(a.right, b.right)
    bottom, top = max(a.bottom, b.bottom), min(a.top, b.top)
    for number, share in enumerate(_SHARES, start=1):
        if top - bottom > right - left:
            place = Point((left + right) / 2.0, top - share * (top - bottom))
        else:
            place = Point(left + share * (right - left), (top + bottom) / 2.0)
        yield Mark(place, f"{name}{number}")


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
