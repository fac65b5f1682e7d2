"""Orders laid by the lines that are cut, where those run outside the pieces and are shared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from geometry.layout.objective import placement_bounds
from geometry.layout.task import Task
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load
from geometry.proof.overlap import check_load
from geometry.tolerance import LAYOUT_ACCURACY


def by_lines(task: Task) -> Task | None:
    """Return an order of the lines in the middle of the gaps, which may lie on each other.

    Its layouts are layouts of the order itself, with more of its lines in common than pieces that
    are spread for the gap have. ``None`` where no lines are shared, or there is no gap.
    """
    room, half = task.room, task.gap / 2.0
    if not (task.common_line and half) or not (room.is_rectangle or room.open_right):
        return None
    box = room.bounds
    left, bottom, height = box.left - half, box.bottom - half, box.height + task.gap
    wider = (
        WorkArea.roll(left, bottom, height, room.longest + task.gap)
        if room.open_right
        else WorkArea.rectangle(left, bottom, box.width + task.gap, height)
    )
    lines = task.lines
    items = [replace(item, outline=lines[item.piece]) for item in task.items]
    return Task(items, wider, 0.0, task.seed, common_line=True)


def keep_apart(task: Task, loads: Sequence[Load]) -> bool:
    """Return whether pieces laid by their lines lie inside and keep the gap, as corners do not."""
    room, outlines = task.room, task.outlines
    most = room.bounds.left + room.longest + LAYOUT_ACCURACY
    for load in loads:
        if room.open_right and placement_bounds(load.placements, outlines).right > most:
            return False
        if check_load(outlines, load, room, task.gap):
            return False
    return True
