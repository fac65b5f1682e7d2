"""Several kinds on the cells of one grid, on the shortest strip of a sheet, along either side."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from geometry.layout.effort import Budget
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.grids.cell_cover import CellCover, Places
from geometry.layout.grids.cell_grids import MAX_CELLS, Cell, CellGrid
from geometry.layout.grids.grid_ways import OnGrid, grids_of, ways_on
from geometry.layout.item import Item
from geometry.layout.nesting.nester_search import Back, frames
from geometry.model.cutter import WorkArea
from geometry.tolerance import LAYOUT_ACCURACY

#: Strips that may be searched to the last state allowed before the search is given up.
_MAX_SEARCHED = 6
#: Shares of a sheet that differ by less are the same strip.
_SAME = 1e-9


#: The kinds, the room, and what brings a piece back from there.
_Frame: TypeAlias = tuple[Sequence[Item], WorkArea, Back]


@dataclass(frozen=True)
class _Region:
    """A part of a grid that a strip holds.

    Attributes:
        share: of the room that the strip takes.
        open_cells: cells that stay open.
        frame: along which side of the room it lies.
        swapped: whether the lines of the grid run upright there.
        shift: columns between the side and a node of the first row.
    """

    share: float
    open_cells: int
    columns: int
    rows: int
    frame: int
    swapped: bool
    shift: int

    @property
    def order(self) -> tuple[float, int]:
        """The shortest strip comes first, then the one with fewest open cells."""
        return round(self.share, 9), self.open_cells

    def cells(self, grid: CellGrid) -> list[Cell]:
        """Return the cells in the order in which they are filled: along the longer side."""
        cells = grid.box(self.columns, self.rows, self.shift)
        by_row = self.columns * grid.column < self.rows * grid.row
        # Laid on its side the strip begins above: what stays open shall lie there.
        across = -1 if self.frame and not self.swapped else 1
        up = -1 if self.frame and self.swapped else 1

        def order(cell: Cell) -> tuple[int, int, int]:
            column, row = across * cell[0], up * cell[1]
            return (row, column, cell[2]) if by_row else (column, row, cell[2])

        return sorted(cells, key=order)


def grid_strips(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    share: float,
    *,
    gap: float,
    nodes: int,
    budget: Budget,
    sides: tuple[int, ...] = (0, 1),
) -> list[Placed] | None:
    """Return all that is wanted on the cells of a grid, on the shortest strip found.

    Args:
        items: the kinds; all are wanted.
        wanted: how many of each.
        room: a rectangle.
        share: of the room, that the strip may take at most.
        gap: least distance, mm.
        nodes: states that are looked at for each strip.
        budget: ends the search. It pays for nothing, so that what follows is searched as far as
            without a grid; the states are the limit.
        sides: along which strips may lie: 0 for the left side, 1 for the upper one.
    """
    both = list(frames(items, room, both=True))
    ways = [both[side] for side in sides]
    searches = [_Search(wanted, ways, grid, gap) for grid in grids_of(items, gap)]
    regions = [(each, search) for search in searches for each in search.regions(share)]
    left = _MAX_SEARCHED * nodes
    for region, search in sorted(regions, key=lambda pair: pair[0].order):
        found, taken = search.on(region, min(nodes, left))
        left -= taken
        if found is not None:
            return found
        if left <= 0 or budget.is_cut():
            break
    return None


class _Search:
    def __init__(
        self, wanted: Mapping[str, int], ways: Sequence[_Frame], grid: CellGrid, gap: float
    ) -> None:
        self.wanted, self.frames, self.grid, self.gap = wanted, ways, grid, gap
        self._ways: dict[tuple[int, bool], dict[str, list[OnGrid]]] = {}

    def ways(self, frame: int, *, swapped: bool) -> dict[str, list[OnGrid]]:
        """Return the ways that each kind may lie."""
        key = frame, swapped
        if key not in self._ways:
            self._ways[key] = {
                item.piece: ways_on(item, self.grid, swapped=swapped)
                for item in self.frames[frame][0]
            }
        return self._ways[key]

    def regions(self, share: float) -> Iterator[_Region]:
        """Yield the regions that may hold all that is wanted."""
        grid = self.grid
        for frame in range(len(self.frames)):
            for swapped in (False, True) if grid.triangular else (False,):
                ways = self.ways(frame, swapped=swapped)
                if not all(ways.values()):
                    continue
                total = sum(len(ways[piece][0].cells) * self.wanted[piece] for piece in ways)
                yield from self._regions_of(frame, total, share, swapped=swapped)

    def _regions_of(
        self, frame: int, total: int, share: float, *, swapped: bool
    ) -> Iterator[_Region]:
        grid, box = self.grid, self.frames[frame][1].bounds
        step, across = (grid.row, grid.column) if swapped else (grid.column, grid.row)
        # Cells may reach half a gap out of the room.
        fixed = math.floor((box.height + self.gap + LAYOUT_ACCURACY / 4.0) / across)
        most = math.floor(((share + _SAME) * box.width + self.gap) / step + _SAME)
        if fixed < 1 or total > MAX_CELLS:
            return
        for number in range(max(1, total // (4 * fixed)), min(most, MAX_CELLS) + 1):
            columns, rows = (fixed, number) if swapped else (number, fixed)
            count = grid.cell_count(columns, rows)
            if count > MAX_CELLS:
                return
            if count >= total:
                for shift in range(2 if grid.triangular else 1):
                    less = (number * step - self.gap) / box.width
                    yield _Region(less, count - total, columns, rows, frame, swapped, shift)

    def on(self, region: _Region, nodes: int) -> tuple[list[Placed] | None, int]:
        """Return all that is wanted in a region, or ``None``, and how many states were seen."""
        ways = self.ways(region.frame, swapped=region.swapped)
        cells = region.cells(self.grid)
        number = {cell: at for at, cell in enumerate(cells)}
        places = {piece: self._places(here, number) for piece, here in ways.items()}
        # Kinds that go on the same cells are one kind for the search.
        alike: dict[frozenset[int], list[str]] = {}
        for piece, here in places.items():
            alike.setdefault(frozenset(here), []).append(piece)
        kinds = sorted(alike, key=lambda key: -len(ways[alike[key][0]][0].cells))
        names = [[p for p in alike[key] for _ in range(self.wanted[p])] for key in kinds]
        by_first = [_by_first(key) for key in kinds]
        cover = CellCover(len(cells), by_first, region.open_cells, nodes)
        chosen = cover.found([len(each) for each in names])
        if chosen is None:
            return None, nodes - cover.nodes
        back = self.frames[region.frame][2]
        placed = []
        for kind, bits in chosen:
            piece = names[kind].pop(0)
            placed.append(back(self._placed(piece, *places[piece][bits], region)))
        return placed, nodes - cover.nodes

    def _places(
        self, ways: Sequence[OnGrid], number: Mapping[Cell, int]
    ) -> dict[int, tuple[OnGrid, tuple[int, int]]]:
        """Return every place of a piece in a region by its cells, as bits."""
        found: dict[int, tuple[OnGrid, tuple[int, int]]] = {}
        for way in ways:
            c0, r0, q0 = way.cells[0]
            for c, r, q in number:
                move = c - c0, r - r0
                if q != q0 or not self.grid.may_move(*move):
                    continue
                cells = [(a + move[0], b + move[1], part) for a, b, part in way.cells]
                if not all(cell in number for cell in cells):
                    continue
                bits = sum(1 << number[cell] for cell in cells)
                found.setdefault(bits, (way, move))
        return found

    def _placed(self, piece: str, way: OnGrid, move: tuple[int, int], region: _Region) -> Placed:
        grid, box = self.grid, self.frames[region.frame][1].bounds
        u = way.u - self.gap / 2.0 + (move[0] - region.shift) * grid.column
        v = way.v - self.gap / 2.0 + move[1] * grid.row
        x, y = (v, u) if region.swapped else (u, v)
        return Placed(piece, way.variant, box.left + x, box.bottom + y)


def _by_first(places: frozenset[int]) -> Places:
    found: dict[int, list[int]] = {}
    for bits in sorted(places):
        found.setdefault((bits & -bits).bit_length() - 1, []).append(bits)
    return found
