"""One load of several kinds on the cells of a grid, beside what was placed otherwise."""

from __future__ import annotations

from collections.abc import Mapping

from geometry.layout.bottom_left import Placed
from geometry.layout.effort import Budget, Effort
from geometry.layout.grid_strips import grid_strips
from geometry.layout.objective import cut_length, used_strip
from geometry.layout.task import Task

#: Shares of a sheet that differ by less are the same.
_SAME = 1e-7


def on_grid(
    task: Task,
    wanted: Mapping[str, int],
    effort: Effort,
    budget: Budget,
    placed: list[Placed],
    share: float,
) -> list[Placed]:
    """Return what is placed, or all that is wanted on cells of one grid where that is better.

    ``share`` is what its strip may take of the sheet.
    """
    here = [item for item in task.items if wanted[item.piece]]
    if task.gap > 0.0 or not task.room.is_rectangle or len(here) < 2:  # noqa: PLR2004
        return placed
    key = effort.name, tuple(sorted(wanted.items()))
    if key not in task.grids:
        task.grids[key] = grid_strips(
            here, wanted, task.room, share, nodes=effort.grid_nodes, budget=budget
        )
    found = task.grids[key]
    if found is None:
        return placed
    places = [each.placement for each in found]
    less = used_strip(places, task.outlines, task.room).share
    if less < share - _SAME or len(found) > len(placed):
        return found
    if less > share + _SAME or not task.common_line:
        return placed
    known = [each.placement for each in placed]
    longer = cut_length(known, task.outlines)
    return found if cut_length(places, task.outlines) < longer else placed
