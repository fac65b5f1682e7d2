"""Pieces as cells of one grid: hexagons, diamonds and triangles of one side, squares and halves.

Pieces of a block often have one side length. Then hexagons, half hexagons, 60-degree diamonds and
triangles are made of the triangles of one grid, and squares, rectangles and half-square triangles
of the quarters of one grid of squares, cut by both diagonals.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from geometry.layout.bottom_left import Variant
from geometry.layout.item import Item
from geometry.measure import area
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.separation import contains

#: A cell: its column, its row, and of a square its quarter.
Cell: TypeAlias = tuple[int, int, int]
#: Cells above which a region is not searched.
MAX_CELLS = 600
#: Corners lie on the nodes of a grid within this, mm: a fraction of what counts as an overlap.
_ON_NODE = 2.0e-7
#: Parts into which the shortest edge may be divided to be the side of the grid.
_PARTS = (1, 2, 3, 4)
#: An edge of a square's quarter, of the side.
_QUARTER = math.sqrt(0.5)
_SAME_TURN = 1e-9


@dataclass(frozen=True)
class CellGrid:
    """A grid of triangles, or of squares whose quarters are the cells.

    Lines run along ``u``; rows follow each other along ``v``. A node lies at the origin.

    Units:
        mm.
    """

    triangular: bool
    side: float

    @property
    def column(self) -> float:
        """Distance of columns along ``u``: half a side of the triangles, which overlap."""
        return self.side / 2.0 if self.triangular else self.side

    @property
    def row(self) -> float:
        """Height of a row."""
        return self.side * math.sqrt(0.75) if self.triangular else self.side

    @property
    def cell_area(self) -> float:
        """Area of a cell, mm2."""
        return self.column * self.row / (1 if self.triangular else 4)

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
            half = self.side / 2.0
            high = self.row if self.triangular else half
            moved = tuple((a * half, b * high) for a, b in nodes)
            cells = self._inside(moved, nodes)
            if abs(len(cells) * self.cell_area - _area(moved)) < self.cell_area / 2.0:
                return cells, Point(*moved[0])
        return None

    def _nodes(
        self, points: Sequence[tuple[float, float]], start: tuple[int, int]
    ) -> list[tuple[int, int]] | None:
        """Return the corners in half sides, or half sides and rows; ``None`` if one lies off."""
        across = self.side / 2.0
        up = self.row if self.triangular else across
        found = []
        for x, y in points:
            a, b = (x - points[0][0]) / across, (y - points[0][1]) / up
            node = round(a) + start[0], round(b) + start[1]
            far = max(abs(a - round(a)) * across, abs(b - round(b)) * up)
            if far > _ON_NODE or sum(node) % 2:
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
        if self.triangular:
            points_up = (c + r) % 2 == 0
            return Point((c + 1) * self.column, (r + (1.0 if points_up else 2.0) / 3.0) * self.row)
        aside = ((0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0))[q]
        return Point((c + 0.5 + aside[0] / 3.0) * self.side, (r + 0.5 + aside[1] / 3.0) * self.side)


def _is_small(nodes: Sequence[tuple[int, int]]) -> bool:
    """Return whether so few cells lie around corners that they are soon looked at."""
    across, up = (max(numbers) - min(numbers) for numbers in zip(*nodes, strict=True))
    return bool(across * up <= 2 * MAX_CELLS)


def _area(points: Sequence[tuple[float, float]]) -> float:
    return abs(area(Outline.of(points)))


@dataclass(frozen=True)
class OnGrid:
    """One way that a piece lies on a grid.

    Attributes:
        variant: the turn.
        cells: that it covers, next to the origin.
        u: place of the piece's own origin beside that of the grid, along its lines, mm.
        v: the same across them.
    """

    variant: Variant
    cells: tuple[Cell, ...]
    u: float
    v: float


def grids_of(items: Sequence[Item]) -> Iterator[CellGrid]:
    """Yield grids of triangles or squares that the edges of all pieces fit, if there are any."""
    if any(item.outline.has_arcs for item in items):
        return
    lengths = [part.length for item in items for part in item.outline.segments]
    # The shortest edge is a side of the grid or a part of it; of squares perhaps a diagonal.
    for triangular, unit in ((True, 1.0), (False, 1.0), (False, _QUARTER)):
        for part in _PARTS:
            grid = CellGrid(triangular, min(lengths) / part / unit)
            if _has_lengths(grid, lengths) and all(_goes_on(item, grid) for item in items):
                yield grid
                break


def _has_lengths(grid: CellGrid, lengths: Sequence[float]) -> bool:
    """Return whether edges of such lengths run from node to node."""
    units = (grid.side,) if grid.triangular else (grid.side, grid.side * _QUARTER)
    return all(
        any(abs(length - round(length / unit) * unit) < _ON_NODE for unit in units)
        for length in lengths
    )


def _goes_on(item: Item, grid: CellGrid) -> bool:
    """Return whether an item may lie on a grid, whatever turns are allowed."""
    free = replace(item, turns="free", mirror=False)
    return any(True for _ in _ways(free, grid, 0.0, swapped=False))


def _ways(item: Item, grid: CellGrid, along: float, *, swapped: bool) -> Iterator[OnGrid]:
    """Yield every way that an item may lie on a grid whose lines run at an angle, degrees."""
    step = 60.0 if grid.triangular else 45.0
    for mirrored in (False, True) if item.mirror else (False,):
        edge = Variant(0.0, item.outline, mirrored).outline.segments[0]
        base = along - math.degrees(edge.start_heading)
        turns = item.stated_turns_deg
        if turns is None:
            turns = tuple((base + step * number) % 360.0 for number in range(round(360.0 / step)))
        for turn in turns:
            if abs(math.remainder(turn - base, step)) > _SAME_TURN:
                continue
            plain = round(turn, 9) % 360.0
            variant = Variant(plain, item.outline, mirrored)
            points = [(v.x, v.y) for v in variant.outline.vertices]
            if swapped:
                points = [(y, x) for x, y in points]
            found = grid.cells_of(points)
            if found is not None:
                cells, at = found
                yield OnGrid(variant, tuple(cells), at.x - points[0][0], at.y - points[0][1])


def ways_on(item: Item, grid: CellGrid, *, swapped: bool) -> list[OnGrid]:
    """Return the ways that an item may lie on a grid and that look different.

    With ``swapped`` lines of the grid run upright: ``u`` is y and ``v`` is x.
    """
    found: dict[frozenset[Cell], OnGrid] = {}
    for way in _ways(item, grid, 90.0 if swapped else 0.0, swapped=swapped):
        found.setdefault(_at_origin(way.cells, grid), way)
    return list(found.values())


def _at_origin(cells: Sequence[Cell], grid: CellGrid) -> frozenset[Cell]:
    """Return cells moved so that those of equal shape are the same."""
    row = min(r for _, r, _ in cells)
    column = min(c for c, _, _ in cells)
    column -= 0 if grid.may_move(column, row) else 1
    return frozenset((c - column, r - row, q) for c, r, q in cells)
