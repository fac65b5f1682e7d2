"""One load as full as it goes with one kind of piece."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace

from geometry.layout.bound import min_length, most_on_one
from geometry.layout.effort import Budget, Effort, Nester, SearchEnded, ShouldStop
from geometry.layout.item import Filling, Item, Layout
from geometry.layout.nesting.nester_search import fuller, worth_asking
from geometry.layout.offcuts import offcuts_of, used_of
from geometry.layout.one_kind.one_kind import fillings
from geometry.layout.task import Task, flush
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load


def fullest(
    item: Item,
    room: WorkArea,
    *,
    gap: float,
    effort: Effort,
    seed: int = 0,
    should_stop: ShouldStop = None,
    nester: Nester | None = None,
) -> Layout:
    """Return one load with as many outlines of one kind as were found, at most its quantity.

    Args:
        item: what to place; no more than its quantity.
        room: where cut lines may lie; a roll is filled to its maximum length.
        gap: least distance between outlines, mm.
        effort: how long to search. The first stage always runs to its end.
        seed: of searches that draw lots.
        should_stop: says that the caller wants the best so far.
        nester: the library that is asked for fuller loads, if there is one.

    Raises:
        DoesNotFit: when not even one fits.
    """
    frame = room
    if room.open_right:
        box = room.bounds
        frame = WorkArea.rectangle(box.left, box.bottom, room.longest, box.height)
    limit = min(item.quantity, most_on_one(item, frame, gap))
    # No more pieces are wanted than can fit: the search then tries to place all of them.
    wanted = replace(item, quantity=max(1, limit))
    task = Task([wanted], frame, gap, seed)
    best: Filling = ()
    steps, was_cut = 0.0, False
    for number, stage in enumerate(effort.stages):
        budget = Budget(
            math.inf if number == 0 else stage.steps - steps,
            None if number == 0 else should_stop,
            nester,
        )
        steps = stage.steps
        with suppress(SearchEnded):
            for filling in _fuller(task, len(best), stage, budget):
                if len(filling) > len(best):
                    best = filling
        was_cut = was_cut or budget.was_cut
        if was_cut or len(best) >= limit:
            break
    return _layout(flush(best, task), task, room, limit, complete=not was_cut)


def _fuller(task: Task, known: int, effort: Effort, budget: Budget) -> Iterator[Filling]:
    """Yield ever fuller loads of rows, then those that the nester finds from the fullest.

    Raises:
        SearchEnded: when the budget is spent.
    """
    (item,), room, gap = task.items, task.room, task.gap
    count = known
    for filling in fillings(item, room, gap=gap, effort=effort, budget=budget):
        count = max(count, len(filling))
        yield filling
    limit = item.quantity
    if count < limit and worth_asking(item, count, limit, effort):
        more = fuller(
            item, count, limit, room, gap=gap, seed=task.seed, effort=effort, budget=budget
        )
        for placed in more:
            yield tuple(each.placement for each in placed)


def _layout(filling: Filling, task: Task, room: WorkArea, limit: int, *, complete: bool) -> Layout:
    loads = (Load(filling),)
    (item,), gap = task.items, task.gap
    offcuts = offcuts_of(loads, task.outlines, room, gap)
    used = used_of(loads, task.outlines, room, offcuts, gap)
    whole = used[0].area if room.open_right else area(room.boundary)
    share = area(item.outline) * len(filling) / whole
    return Layout(
        loads=loads,
        complete=complete,
        bound=1,
        offcuts=offcuts,
        utilisation=(share,),
        used=used,
        most_on_one=None if room.open_right else limit,
        length_bound=(
            min_length([replace(item, quantity=len(filling))], room, gap)
            if room.open_right
            else None
        ),
    )
