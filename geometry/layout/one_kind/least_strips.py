"""Pieces of one kind on the least strip of their sheet: full loads and last ones."""

from __future__ import annotations

import math
from functools import partial

from geometry.layout.beds.irregular_area import irregular_strips
from geometry.layout.effort import Budget, Effort, unlimited
from geometry.layout.item import Filling, Item
from geometry.layout.objective import used_strip
from geometry.layout.strips.strips import KnownStrip, row_strips
from geometry.layout.task import Task, flush

#: Shares of a sheet that differ by less are the same.
_SAME = 1e-9


def least_strip(task: Task, item: Item, count: int, effort: Effort, budget: Budget) -> Filling:
    """Return so many pieces on the least strip known; nothing where no rows hold them.

    Raises:
        DoesNotFit: when not even one piece fits.
        SearchEnded: when the budget is spent.
    """
    if not task.room.is_rectangle:
        if not math.isinf(budget.left):
            return _least_irregular(task, item, count, effort, budget)
        # No steps pay for it, so it is the same whenever it is asked for.
        question = (item.piece, count, effort)
        if question not in task.lowest_rows:
            task.lowest_rows[question] = _least_irregular(task, item, count, effort, budget)
        return task.lowest_rows[question]
    known = _known(task, item, count)
    for _ in row_strips(
        item, task.room, count, gap=task.gap, effort=effort, budget=budget, known=known
    ):
        pass
    filling = known.filling
    return flush(filling, task) if filling else ()


def _least_irregular(task: Task, item: Item, count: int, effort: Effort, budget: Budget) -> Filling:
    """Return so many pieces on the least strip of a bed of another shape."""
    best: Filling = ()
    for placed in irregular_strips(
        item, task.room, count, gap=task.gap, effort=effort, budget=budget
    ):
        best = tuple(each.placement for each in placed)
    return best


def on_least_strip(task: Task, item: Item, filling: Filling, effort: Effort) -> Filling:
    """Return the pieces of a filling where they lie, or on a shorter strip of rows.

    The fullest load may leave room that fewer rows would not: two octagons beside each other need
    half a page, one above the other most of it. This is sought as the first stage does, so no
    steps are paid.
    """
    share = used_strip(filling, task.outlines, task.room).share
    if task.room.is_rectangle:
        known = _known(task, item, len(filling))
        if share < known.share - _SAME:
            known.keep(share, partial(tuple, filling))
        if known.first_is_over:
            return flush(known.filling, task)
        known.first_is_over = True
    strip = least_strip(task, item, len(filling), effort.first, unlimited())
    if strip and used_strip(strip, task.outlines, task.room).share < share - _SAME:
        return strip
    return flush(filling, task)


def _known(task: Task, item: Item, count: int) -> KnownStrip:
    return task.strips.setdefault((item.piece, count), KnownStrip())
