"""Loads and lengths of roll with several kinds on the cells of a grid."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.grids.grid_strips import grid_strips
from geometry.layout.item import Filling, Item
from geometry.layout.objective import placement_bounds
from geometry.layout.task import Task
from geometry.model.cutter import WorkArea
from geometry.model.placement import shifted

#: Shares of a sheet that differ by less are the same.
_SAME = 1e-7
#: Corners of a single kind up to which it is laid on a grid, and by what its states are divided.
_FEW_CORNERS, _FEWER = 4, 4


def on_grid(
    task: Task, wanted: Mapping[str, int], effort: Effort, budget: Budget, share: float = 1.0
) -> list[Placed]:
    """Return all that is wanted on one load on cells of a grid, or nothing.

    With common lines a strip of the same ``share`` will do, as its cut may be shorter; otherwise
    only a shorter one.
    """
    here = [item for item in task.items if wanted.get(item.piece)]
    # Rows of rectangles are laid well enough: squares beside a rectangle of two printed pages would
    # be moved onto a third.
    if not task.room.is_rectangle or all(item.fills_its_box for item in here):
        return []
    nodes = effort.grid_nodes
    if len(here) == 1:
        # Rows of one kind are seldom beaten: only of pieces that go on a grid in several ways.
        if not effort.blocks or len(here[0].outline.vertices) > _FEW_CORNERS:
            return []
        nodes //= _FEWER
    limit = share + (_SAME if task.common_line or share >= 1.0 else -_SAME)
    key = effort.name, round(limit, 9), tuple(sorted(wanted.items()))
    if key not in task.grids:
        task.grids[key] = grid_strips(
            here, wanted, task.room, limit, gap=task.gap, nodes=nodes, budget=budget
        )
    return task.grids[key] or []


def grid_on_roll(
    items: Sequence[Item],
    room: WorkArea,
    length: float,
    *,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> Iterator[Filling]:
    """Yield everything on less than a length of roll, if cells of a grid hold it there."""
    if len(items) < 2:  # noqa: PLR2004
        return
    box = room.bounds
    found = grid_strips(
        items,
        {item.piece: item.quantity for item in items},
        WorkArea.rectangle(box.left, box.bottom, length, box.height),
        1.0 - _SAME,
        gap=gap,
        nodes=effort.grid_nodes,
        budget=budget,
        sides=(0,),
    )
    if found is not None:
        places = [each.placement for each in found]
        used = placement_bounds(places, {item.piece: item.outline for item in items})
        yield shifted(places, box.left - used.left, 0.0)
