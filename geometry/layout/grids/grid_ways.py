"""The grids that several kinds fit, and the ways that a piece may lie on one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations

import numpy as np

from geometry.layout.fitting.bottom_left import Variant
from geometry.layout.grids.cell_grids import ON_NODE, Cell, CellGrid
from geometry.layout.item import Item
from geometry.measure import area, corner_turns
from geometry.model.outline import Outline

#: Parts into which the shortest edge may be divided to be the side of the grid.
_PARTS = (1, 2, 3, 4)
#: An edge of a square's quarter, of the side.
_QUARTER = math.sqrt(0.5)
#: Edges of cells of squares run in so many directions, both ways.
_DIRECTIONS = 8
#: Added to the pitch that a gap takes, mm: rounding.
_HAIR = 2.0e-6
_SAME_TURN = 1e-9
#: Three edges whose directions span less touch no circle.
_PARALLEL = 1e-9


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


def grids_of(items: Sequence[Item], gap: float) -> Iterator[CellGrid]:
    """Yield grids of triangles or squares that the edges of all pieces fit, if there are any.

    With a gap each piece is in the middle of cells that are larger all round by half of it or
    more: a piece of cells of side 1 with an inscribed circle of radius r needs gap / 2r more.
    """
    if any(item.outline.has_arcs for item in items):
        return
    radius = math.inf
    if gap > 0.0:
        if not all(_may_have_gap(item) for item in items):
            return
        radius = min(incircle(item.outline)[1] for item in items)
    lengths = [part.length for item in items for part in item.outline.segments]
    # The shortest edge is a side of the grid or a part of it; of squares perhaps a diagonal.
    for triangular, unit in ((True, 1.0), (False, 1.0), (False, _QUARTER)):
        for part in _PARTS:
            side = min(lengths) / part / unit
            more = gap / 2.0 / (radius / side) + _HAIR if gap > 0.0 else 0.0
            grid = CellGrid(triangular, side, side + more)
            if _has_lengths(grid, lengths) and all(_goes_on(item, grid) for item in items):
                yield grid
                break


def _has_lengths(grid: CellGrid, lengths: Sequence[float]) -> bool:
    """Return whether edges of such lengths run from node to node."""
    units = (grid.side,) if grid.triangular else (grid.side, grid.side * _QUARTER)
    return all(
        any(abs(length - round(length / unit) * unit) < ON_NODE for unit in units)
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
                u, v = at.x - points[0][0], at.y - points[0][1]
                if grid.pitch > grid.side:
                    # Larger cells about the same middle.
                    (x, y), _ = incircle(Outline.of(points))
                    more = grid.pitch / grid.side - 1.0
                    u, v = u + more * (u + x), v + more * (v + y)
                yield OnGrid(variant, tuple(cells), u, v)


def _may_have_gap(item: Item) -> bool:
    """Return whether an item is convex, with no more corners than a grid has directions."""
    return len(item.outline.vertices) <= _DIRECTIONS and min(corner_turns(item.outline)) > 0.0


@lru_cache(maxsize=256)
def incircle(outline: Outline) -> tuple[tuple[float, float], float]:
    """Return the middle and the radius of a largest circle in a convex polygon, mm.

    Source:
        It touches three edges, and no other edge is nearer; elementary.
    """
    lines = []
    hand = 1.0 if area(outline) > 0.0 else -1.0
    for part in outline.segments:
        nx, ny = -math.sin(part.start_heading) * hand, math.cos(part.start_heading) * hand
        lines.append((nx, ny, nx * part.start.x + ny * part.start.y))
    every = np.array(lines)
    best = (0.0, 0.0), 0.0
    for three in combinations(range(len(lines)), 3):
        a = np.column_stack([every[list(three), :2], -np.ones(3)])
        if abs(np.linalg.det(a)) < _PARALLEL:
            continue
        x, y, radius = np.linalg.solve(a, every[list(three), 2])
        nearest = float((every[:, :2] @ (x, y) - every[:, 2]).min())
        if nearest > best[1] and nearest >= radius - ON_NODE:
            best = (float(x), float(y)), nearest
    return best


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
