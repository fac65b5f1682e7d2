"""What the gallery's blocks are drawn with: closed paths of a fabric."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from geometry.model.outline import Vertex

DARK, LIGHT, MEDIUM = "dark", "light", "medium"
_XY: TypeAlias = tuple[float, float]


@dataclass(frozen=True)
class GalleryPath:
    """A closed path, and the fabric inside it."""

    vertices: tuple[Vertex, ...]
    fabric: str


@dataclass(frozen=True)
class GalleryBlock:
    """A block of the gallery: its width in units of its grid, and its pieces."""

    name: str
    title: str
    width: float
    paths: tuple[GalleryPath, ...]


def ring(fabric: str, *points: Sequence[float]) -> GalleryPath:
    """Return the path through points ``(x, y)`` or ``(x, y, bulge)``."""
    return GalleryPath(tuple(Vertex(*map(float, point)) for point in points), fabric)


def corners_of(x: float, y: float, side: float) -> list[_XY]:
    """Return a square's corners from its lower left one, counter-clockwise."""
    return [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]


def cells(count: int, side: float) -> Iterator[tuple[float, float, bool]]:
    """Yield the lower left corner of each cell of a square grid, column by column.

    The third value is whether the cell has the colour of the first one on a checkerboard.
    """
    for column in range(count):
        for row in range(count):
            yield side * column, side * row, (column + row) % 2 == 0


def rectangle(fabric: str, x: float, y: float, width: float, height: float) -> GalleryPath:
    """Return a rectangle by its lower left corner and size."""
    return ring(fabric, (x, y), (x + width, y), (x + width, y + height), (x, y + height))


def square(fabric: str, x: float, y: float, side: float = 1.0) -> GalleryPath:
    """Return a square by its lower left corner."""
    return rectangle(fabric, x, y, side, side)


def halves(x: float, y: float, side: float, corner: int, fabric: str = DARK) -> list[GalleryPath]:
    """Return a square of two triangles, one of them of a fabric and the other one light.

    Args:
        x: of its lower left corner.
        y: of its lower left corner.
        side: of the square.
        corner: in which the first triangle lies: 0 lower left, then counter-clockwise.
        fabric: of the first triangle.
    """
    corners = corners_of(x, y, side)
    before, at, after = corners[corner - 1], corners[corner], corners[(corner + 1) % 4]
    return [ring(fabric, before, at, after), ring(LIGHT, after, corners[(corner + 2) % 4], before)]


def quarters(x: float, y: float, side: float, fabrics: Sequence[str]) -> list[GalleryPath]:
    """Return a square of four triangles: below, right, above and left."""
    corners = corners_of(x, y, side)
    middle = (x + side / 2.0, y + side / 2.0)
    return [
        ring(fabric, corners[at], corners[(at + 1) % 4], middle)
        for at, fabric in enumerate(fabrics)
    ]


def checks(x: float, y: float, side: float, rows: Iterable[str]) -> list[GalleryPath]:
    """Return squares row by row from the top: ``#`` dark, ``o`` medium, ``.`` light."""
    fabrics = {"#": DARK, "o": MEDIUM, ".": LIGHT}
    listed = list(rows)
    return [
        square(fabrics[mark], x + side * column, y + side * (len(listed) - 1 - row), side)
        for row, marks in enumerate(listed)
        for column, mark in enumerate(marks)
    ]


def polar(radius: float, angle_deg: float, x: float = 0.0, y: float = 0.0) -> _XY:
    """Return the point at a distance and direction from another."""
    angle = math.radians(angle_deg)
    return x + radius * math.cos(angle), y + radius * math.sin(angle)


def bulge(sweep_deg: float) -> float:
    """Return the bulge of an arc."""
    return math.tan(math.radians(sweep_deg) / 4.0)
