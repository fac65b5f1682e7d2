"""Grids of triangles and of squares, and the cells that an outline covers.

Pieces of a block often have one side length. Then hexagons, half hexagons, 60-degree diamonds and
triangles are made of the triangles of one grid, and squares, rectangles and half-square triangles
of the quarters of one grid of squares, cut by both diagonals.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from geometry.measure import area
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.separation import contains

#: A cell: its column, its row, and of a square its quarter.
Cell: TypeAlias = tuple[int, int, int]
#: Cells above which a region is not searched.
MAX_CELLS = 600
#: Corners lie on the nodes of a grid within this, mm: a fraction of what counts as an overlap.
ON_NODE = 2.0e-7
#: Height of a triangle, of the side.
_HEIGHT = math.sqrt(0.75)


@dataclass(frozen=True)
class CellGrid:
    """A grid of triangles, or of squares whose quarters are the cells.

    Lines run along ``u``; rows follow each other along ``v``. A node lies at the origin.

    Attributes:
        side: of the cells that pieces are made of, mm.
        pitch: side of the same cells as pieces are laid: more than ``side`` where a gap is kept.
    """

    triangular: bool
    side: float
    pitch: float

    @property
    def column(self) -> float:
        """Distance of columns along ``u``: half a side of the triangles, which overlap."""
        return self.pitch / 2.0 if self.triangular else self.pitch

    @property
    def row(self) -> float:
        """Height of a row."""
        return self.pitch * _HEIGHT if self.triangular else self.pitch

    def cell_count(self, columns: int, rows: int) -> int:
        """Return how many cells so many columns and rows have."""
        return (columns - 1) * rows if self.triangular else 4 * columns * rows

    def box(self, columns: int, rows: int, shift: int) -> list[Cell]:
        """Return the cells of so many columns and rows, ``shift`` columns from the origin."""
        if self.triangular:
            return [(c + shift, r, 0) for r in range(rows) for c in range(columns - 1)]
        return [(c, r, q) for r in range(rows) for c in range(columns) for q in range(4)]

    def may_move(self, columns: int, rows: int) -> bool:
        """Return whether such a move brings every cell onto another."""
        return not self.triangular or (columns + rows) % 2 == 0

    def cells_of(self, points: Sequence[tuple[float, float]]) -> tuple[list[Cell], Point] | None:
        """Return the cells that an outline covers with its first corner near the origin.

        Also the place of that corner. ``None`` where the outline is not made of whole cells.
        """
        starts = [(0, 0)] if self.triangular else [(0, 0), (1, 1)]
        for start in starts:
            nodes = self._nodes(points, start)
            if nodes is None or not self._on_lines(nodes) or not _is_small(nodes):
                continue
            across, up = self._half_side
            moved = tuple((a * across, b * up) for a, b in nodes)
            cells = self._inside(moved, nodes)
            each = across * up
            if abs(len(cells) * each - _area(moved)) < each / 2.0:
                return cells, Point(*moved[0])
        return None

    @property
    def _half_side(self) -> tuple[float, float]:
        """Half a side, and of triangles the height: what corners are apart along both axes, mm."""
        half = self.side / 2.0
        return half, self.side * _HEIGHT if self.triangular else half

    def _nodes(
        self, points: Sequence[tuple[float, float]], start: tuple[int, int]
    ) -> list[tuple[int, int]] | None:
        """Return the corners in half sides, or half sides and rows; ``None`` if one lies off."""
        across, up = self._half_side
        found = []
        for x, y in points:
            a, b = (x - points[0][0]) / across, (y - points[0][1]) / up
            node = round(a) + start[0], round(b) + start[1]
            far = max(abs(a - round(a)) * across, abs(b - round(b)) * up)
            if far > ON_NODE or sum(node) % 2:
                return None
            found.append(node)
        return found

    def _on_lines(self, nodes: Sequence[tuple[int, int]]) -> bool:
        """Return whether every edge runs along a line of the grid."""
        for (a, b), (c, d) in zip(nodes, [*nodes[1:], nodes[0]], strict=True):
            across, up = abs(c - a), abs(d - b)
            if across == up:
                continue
            if self.triangular:
                if up:
                    return False
            elif (across and up) or (b if across else a) % 2:
                return False
        return True

    def _inside(
        self, points: Sequence[tuple[float, float]], nodes: Sequence[tuple[int, int]]
    ) -> list[Cell]:
        """Return the cells whose middles lie inside."""
        outline = Outline.of(points)
        per = 1 if self.triangular else 2
        columns = range(min(a for a, _ in nodes) // per, -(-max(a for a, _ in nodes) // per))
        rows = range(min(b for _, b in nodes) // per, -(-max(b for _, b in nodes) // per))
        quarters = range(1 if self.triangular else 4)
        every = ((c, r, q) for r in rows for c in columns for q in quarters)
        return [cell for cell in every if contains(outline, self._middle(cell))]

    def _middle(self, cell: Cell) -> Point:
        c, r, q = cell
        across, up = self._half_side
        if self.triangular:
            points_up = (c + r) % 2 == 0
            return Point((c + 1) * across, (r + (1.0 if points_up else 2.0) / 3.0) * up)
        aside = ((0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0))[q]
        return Point((c + 0.5 + aside[0] / 3.0) * self.side, (r + 0.5 + aside[1] / 3.0) * self.side)


def _is_small(nodes: Sequence[tuple[int, int]]) -> bool:
    """Return whether so few cells lie around corners that they are soon looked at."""
    across, up = (max(numbers) - min(numbers) for numbers in zip(*nodes, strict=True))
    return bool(across * up <= 2 * MAX_CELLS)


def _area(points: Sequence[tuple[float, float]]) -> float:
    return abs(area(Outline.of(points)))
