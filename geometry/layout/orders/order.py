"""A whole order of pieces on as many loads as it takes: every stage keeps the best so far."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial

from geometry.layout.bound import min_length, min_loads, most_on_one
from geometry.layout.common_lines.shorter_cuts import shorter_cuts
from geometry.layout.effort import Budget, Effort, Nester, SearchEnded, ShouldStop, effort_of
from geometry.layout.item import Item, Layout
from geometry.layout.objective import used_strip
from geometry.layout.offcuts import offcuts_of, used_of
from geometry.layout.orders.best_loads import BestLoads
from geometry.layout.orders.clear_rectangles import in_clear_rectangles
from geometry.layout.orders.limited_roll import on_roll
from geometry.layout.orders.line_to_line import by_lines, keep_apart
from geometry.layout.orders.loads import loads_of
from geometry.layout.orders.whole_sets import load_sets, sets_alike
from geometry.layout.recent import Recent
from geometry.layout.task import Task, load_count
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load
from geometry.sentences import said, said_of

#: Receives the share done, 0 to 1, and what was just done, in words.
Progress = Callable[[float, str], None] | None
#: Share of a stage's steps that pieces in a clear rectangle of another bed have at least.
_SHARE_IN_CLEAR = 0.5
#: The last stage in which an order is laid by its lines too; later ones ask the nester at length.
_LAST_BY_LINES = 1
#: Steps that whole sets may take where those of a stage are used up.
_STEPS_FOR_SETS = 1_500.0


@dataclass
class _Best(BestLoads):
    """The best loads so far, which are reported."""

    progress: Progress = None
    share: float = 0.0

    def keep(self, loads: tuple[Load, ...]) -> bool:
        """Take loads where they are better than those so far; return whether they were."""
        better = super().keep(loads)
        if better:
            self.report(self.share + 0.1 * (1.0 - self.share))
        return better

    def report(self, share: float) -> None:
        """Report the share done, which never falls, and the best so far."""
        self.share = max(self.share, share)
        if self.progress is not None:
            self.progress(self.share, laid_out_text(self.loads))


def laid_out_text(loads: Sequence[Load]) -> str:
    """Return in words how many loads are laid out."""
    count = load_count(loads)
    return f"{count} load{'' if count == 1 else 's'} laid out"


def lay_out(  # noqa: PLR0913 - the whole question of a layout, by keywords
    items: Sequence[Item],
    room: WorkArea,
    *,
    gap: float,
    effort: str | float | Effort = "normal",
    seed: int = 0,
    should_stop: ShouldStop = None,
    sets: bool = False,
    common_line: bool = False,
    progress: Progress = None,
    nester: Nester | None = None,
    known: Sequence[tuple[Load, ...]] = (),
    max_loads: int | None = None,
) -> Layout:
    """Return the loads that cut an order.

    Shape:
        Loads that are alike stand once with their repeats; the last, less full one by itself.

    Units:
        mm.

    Args:
        items: what to place; each quantity at least 1.
        room: where cut lines may lie; with ``open_right`` everything goes on one load, as short
            as was found.
        gap: least distance between outlines, at least 0.
        effort: how long to search: ``quick``, ``normal``, ``best``, seconds, or an effort itself.
        seed: of searches that draw lots; the same seed gives the same layout.
        should_stop: says that the caller wants the best so far. What ``quick`` finds is found in
            any case, and every effort is at least as good.
        sets: whether each load shall hold whole sets (each item in the proportion asked).
        common_line: whether edges that two pieces have in common are cut once, so that a shorter
            cut decides between layouts that are alike otherwise, and rows stay edge to edge even
            where rows that are spread would take a little less material.
        progress: receives the share done, 0 to 1 and never falling, and the best so far in words.
            What it raises ends the search and passes through.
        nester: the library that is asked for fuller loads; without one some are less full.
        known: layouts of the whole order that are known; no effort finds a worse one.
        max_loads: with more loads than this no material is saved of one kind: it is of no use.

    Raises:
        DoesNotFit: when an item is larger than the room however it may be turned.
    """
    wanted = effort if isinstance(effort, Effort) else effort_of(effort)
    task = Task(items, room, gap, seed, common_line, max_loads=max_loads)
    best = _Best(task, progress=progress)
    warnings, was_cut = _search(best, task, wanted.stages, should_stop, nester, known, sets=sets)
    return _layout(best, task, warnings, complete=not was_cut)


def _search(
    best: _Best,
    task: Task,
    stages: Sequence[Effort],
    should_stop: ShouldStop,
    nester: Nester | None,
    known: Sequence[tuple[Load, ...]],
    *,
    sets: bool,
) -> tuple[tuple[str, ...], bool]:
    """Let every stage improve the best loads; return their warnings and whether time was short."""
    steps, was_cut, found, of_lines = 0.0, False, Recent(), Recent()
    along = by_lines(task)
    warnings: tuple[str, ...] = ()
    for number, stage in enumerate(stages):
        limit = math.inf if number == 0 else stage.steps - steps
        budget = Budget(limit, None if number == 0 else should_stop, nester, found=found)
        steps = stage.steps
        this = stage.edge_to_edge if task.common_line else stage
        asked = [(task, budget)]
        if along is not None and number <= _LAST_BY_LINES:
            asked.append((along, Budget(limit, budget.should_stop, nester, found=of_lines)))
        for each, own in asked:
            with suppress(SearchEnded):
                for loads, more in _layouts(each, this, own, sets=sets):
                    if (each is task or keep_apart(task, loads)) and best.keep(loads):
                        warnings = more
        if number == 0 and sum(best.keep(loads) for loads in known):
            warnings = ()
        if task.is_of_use(load_count(best.loads)):
            for loads in shorter_cuts(task, best.loads, stage, budget):
                best.keep(loads)
        was_cut = was_cut or budget.was_cut
        if was_cut:
            break
        best.report((number + 1) / (len(stages) + 1))
    return warnings, was_cut


def _layouts(
    task: Task, effort: Effort, budget: Budget, *, sets: bool
) -> Iterator[tuple[tuple[Load, ...], tuple[str, ...]]]:
    """Yield layouts of the whole order, each with what is to be said of it."""
    if task.room.open_right:
        yield from on_roll(
            task, effort, budget, partial(_layouts, effort=effort, budget=budget, sets=sets)
        )
    elif sets and len(task.items) > 1:
        yield from load_sets(task, effort, budget)
    else:
        for loads in _free_loads(task, effort, budget):
            yield loads, ()


def _free_loads(task: Task, effort: Effort, budget: Budget) -> Iterator[tuple[Load, ...]]:
    """Yield loads of any contents, then loads of whole sets, which are the fewest of some orders.

    The sets have steps of their own, so that no order gets a worse layout than as sets.
    """
    best = BestLoads(task)
    try:
        for loads in loads_of(task, effort, budget):
            yield loads
            if not task.room.is_rectangle:
                best.keep(loads)
    except SearchEnded:
        if budget.is_cut():
            raise
    if not task.room.is_rectangle:
        with budget.lent(_SHARE_IN_CLEAR * effort.steps) as own, suppress(SearchEnded):
            yield from in_clear_rectangles(task, best.loads, effort, own)
    if len(task.items) > 1:
        with budget.lent(_STEPS_FOR_SETS) as own:
            yield from sets_alike(task, effort, own)


def _layout(best: _Best, task: Task, warnings: tuple[str, ...], *, complete: bool) -> Layout:
    """Return what is to be known of the loads that were found."""
    room, loads, items, bound = task.room, best.loads, task.items, _bound(task)
    if not complete:
        warnings = (*warnings, cut_short_warning(load_count(loads), bound, room))
    best.report(1.0)
    one = len(items) == 1 and not room.open_right
    offcuts = offcuts_of(loads, task.outlines, room, task.gap)
    return Layout(
        loads=loads,
        complete=complete,
        warnings=warnings,
        bound=bound,
        offcuts=offcuts,
        utilisation=tuple(_utilisation(load, task) for load in loads),
        used=used_of(loads, task.outlines, room, offcuts, task.gap),
        most_on_one=most_on_one(items[0], room, task.gap) if one else None,
        length_bound=min_length(items, room, task.gap) if room.open_right else None,
    )


def cut_short_warning(count: int, bound: int, room: WorkArea) -> str:
    """Return the warning of a search that was cut short, with what more time may save."""
    text = said("The search for this layout was cut short because the time allowed was over.")
    if count > bound:
        more = said_of(
            "More time may save 1 load of {count}.",
            "More time may save up to {n} loads of {count}.",
            count - bound,
            count=count,
        )
    elif room.open_right:
        more = said("No layout takes fewer loads; more time may save some length of roll.")
    else:
        more = said("No layout takes fewer loads; more time may save some material.")
    return f"{text} {more}"


def _utilisation(load: Load, task: Task) -> float:
    """Return the share of a sheet that a load's pieces cover; of a roll, of the length used."""
    covered = sum(area(task.outlines[piece]) * count for piece, count in load.outlines.items())
    if task.room.open_right:
        return covered / used_strip(load.placements, task.outlines, task.room).area
    return covered / area(task.room.boundary)


def _bound(task: Task) -> int:
    room = task.room
    if not room.open_right:
        return min_loads(task.items, room, task.gap)
    if math.isinf(room.longest):
        return 1
    box = room.bounds
    sheet = WorkArea.rectangle(box.left, box.bottom, room.longest, box.height)
    return min_loads(task.items, sheet, task.gap)
