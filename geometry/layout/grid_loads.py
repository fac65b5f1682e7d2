"""One load of several kinds on the cells of a grid."""

from __future__ import annotations

from collections.abc import Mapping

from geometry.layout.bottom_left import Placed
from geometry.layout.effort import Budget, Effort
from geometry.layout.grid_strips import grid_strips
from geometry.layout.task import Task

#: Shares of a sheet that differ by less are the same.
_SAME = 1e-7


def on_grid(
    task: Task, wanted: Mapping[str, int], effort: Effort, budget: Budget, share: float = 1.0
) -> list[Placed]:
    """Return all that is wanted on one load on cells of a grid, or nothing.

    With common lines a strip of the same ``share`` will do, as its cut may be shorter; otherwise
    only a shorter one.
    """
    here = [item for item in task.items if wanted.get(item.piece)]
    if not task.room.is_rectangle or len(here) < 2:  # noqa: PLR2004
        return []
    limit = share + (_SAME if task.common_line or share >= 1.0 else -_SAME)
    key = effort.name, round(limit, 9), tuple(sorted(wanted.items()))
    if key not in task.grids:
        task.grids[key] = grid_strips(
            here, wanted, task.room, limit, gap=task.gap, nodes=effort.grid_nodes, budget=budget
        )
    return task.grids[key] or []
