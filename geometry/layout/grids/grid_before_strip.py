"""Kinds on full rows of a grid of triangles, and what is left of one of them on its least strip.

Rows of a grid have a stated length. A few pieces of one kind more than a row holds may take hardly
more than a row where they are turned: 9 diamonds of 2 in need 2.03 in of a strip 18 in long that
holds 8 in a row 1.73 in high. What fills the other rows makes up for the rest.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from geometry.layout.effort import Effort, unlimited
from geometry.layout.fitting.holding_polygons import narrowest
from geometry.layout.grids.cell_grids import CellGrid
from geometry.layout.grids.grid_strips import grid_strips
from geometry.layout.grids.grid_ways import grids_of
from geometry.layout.item import Filling, Item
from geometry.layout.objective import placement_bounds
from geometry.layout.one_kind.least_strips import least_strip
from geometry.layout.task import Task
from geometry.measure import area
from geometry.model.outline import Outline
from geometry.model.placement import shifted
from geometry.tolerance import LAYOUT_ACCURACY

#: Pieces up to which this is tried.
_MAX_PIECES: Final = 60
#: Shares and lengths that differ by less are the same.
_SAME: Final = 1e-6


@dataclass(frozen=True)
class _Split:
    """Rows of a grid and a strip behind them.

    Attributes:
        least: share of the sheet that both take at least.
        side: 0 where both follow each other from the left, 1 from below.
        length: of the grid, mm.
        item: the kind of which some lie behind.
        behind: how many.
    """

    least: float
    side: int
    length: float
    item: Item
    behind: int


def grid_before_strip(
    task: Task, wanted: Mapping[str, int], share: float, effort: Effort
) -> tuple[float, Filling]:
    """Return all that is wanted on a shorter strip, and its share of the sheet.

    Nothing where there is none. Of all splits of the order only the one is tried that may take
    least.

    Args:
        task: what is laid out where.
        wanted: how many of each kind.
        share: of the sheet, that the strip has to stay below.
        effort: how far the grid and the strip are searched.
    """
    here = [item for item in task.items if wanted.get(item.piece)]
    few = sum(wanted[item.piece] for item in here) <= _MAX_PIECES
    if not task.room.is_rectangle or not few or not all(_has_sixths(each.outline) for each in here):
        return share, ()
    splits = [
        split
        for grid in grids_of(here, task.gap)
        if grid.triangular
        for item in here
        for split in _splits(task, here, wanted, item, grid)
        if split.least < share - _SAME
    ]
    if len(here) < 2 or not splits:  # noqa: PLR2004
        return share, ()
    split = min(splits, key=lambda each: (round(each.least, 9), each.behind, each.side))
    return _laid(task, here, wanted, split, share, effort)


def _has_sixths(outline: Outline) -> bool:
    """Return whether all edges run along the lines of one grid of triangles."""
    first = outline.segments[0].start_heading
    return not outline.has_arcs and all(
        abs(math.remainder(part.start_heading - first, math.pi / 3.0)) < _SAME
        for part in outline.segments
    )


def _splits(
    task: Task, here: Sequence[Item], wanted: Mapping[str, int], item: Item, grid: CellGrid
) -> Iterator[_Split]:
    """Yield the ways to lay some pieces of a kind behind rows of a grid that hold all others."""
    box, gap = task.room.bounds, task.gap
    cell = grid.side * grid.side * math.sqrt(3.0) / 4.0
    cells = {each.piece: round(area(each.outline) / cell) for each in here}
    others = sum(cells[each.piece] * wanted[each.piece] for each in here if each is not item)
    narrow = narrowest(item.outline)
    for side, (length, across) in enumerate(((box.width, box.height), (box.height, box.width))):
        for step, beside in ((grid.row, grid.column), (grid.column, grid.row)):
            fixed = math.floor((across + gap + LAYOUT_ACCURACY / 4.0) / beside)
            for number in range(1, math.floor((length + gap) / step) + 1):
                columns, rows = (fixed, number) if step == grid.row else (number, fixed)
                inside = (grid.cell_count(columns, rows) - others) // cells[item.piece]
                behind = wanted[item.piece] - inside
                if inside < 0 or behind <= 0:
                    continue
                filled = area(item.outline) * behind / across
                end = number * step + max(narrow, filled)
                if end < length:
                    yield _Split(end / length, side, number * step - gap, item, behind)


def _laid(
    task: Task,
    here: Sequence[Item],
    wanted: Mapping[str, int],
    split: _Split,
    share: float,
    effort: Effort,
) -> tuple[float, Filling]:
    """Return the share of a split and its pieces; nothing where it is not below a share."""
    box, piece = task.room.bounds, split.item.piece
    side = box.height if split.side else box.width
    # On a task of its own: what is known of strips would change how later stages search.
    strip = least_strip(task.on(task.room), split.item, split.behind, effort, unlimited())
    if not strip:
        return share, ()
    used = placement_bounds(strip, task.outlines)
    start = split.length + task.gap
    found = (start + (used.height if split.side else used.width)) / side
    if found > share - _SAME:
        return share, ()
    left = {**wanted, piece: wanted[piece] - split.behind}
    laid = grid_strips(
        [item for item in here if left[item.piece]],
        left,
        task.room,
        split.length / side + _SAME,
        gap=task.gap,
        nodes=effort.grid_nodes,
        budget=unlimited(),
        sides=(split.side,),
    )
    if laid is None:
        return share, ()
    rows = [each.placement for each in laid]
    low = placement_bounds(rows, task.outlines)
    rows = list(shifted(rows, box.left - low.left, box.bottom - low.bottom))
    dx, dy = box.left - used.left, box.bottom - used.bottom
    move = (dx, dy + start) if split.side else (dx + start, dy)
    return found, (*rows, *shifted(strip, *move))
