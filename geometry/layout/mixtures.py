"""Loads of several kinds: full ones of each, and what is left of all on loads that they share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product

from geometry.layout.bottom_left import Placed
from geometry.layout.bound import grown_area, min_loads, most_on_one, room_area
from geometry.layout.effort import Budget, Effort
from geometry.layout.fill_up import filled_up
from geometry.layout.item import Item
from geometry.layout.kind_strips import kind_strips
from geometry.layout.mixed_kinds import mixed_loads, orders_of
from geometry.layout.nester_search import all_on_one, shorter_strips
from geometry.layout.objective import Score, is_better, score, used_strip
from geometry.layout.row_blocks import RowBlocks, row_blocks
from geometry.layout.task import Loads, Task, flush, load_count
from geometry.measure import area
from geometry.model.placement import Load

#: Pieces of all kinds up to which they are also mixed from the first load on.
_MAX_MIXED = 400
#: Orders of kinds that are tried in strips: the largest first, the longest first.
_STRIP_ORDERS = 2


def mixtures(task: Task, effort: Effort, budget: Budget) -> Iterator[Loads]:
    """Yield layouts of several kinds by the fullest fillings of each."""
    full, alone, rest = _by_kind(task)
    known = (*full, *alone)
    yield known
    for step in (_rest_shared, _filled_up, _all_shared, _on_strips):
        for loads in step(task, full, rest, effort, budget, load_count(known)):
            if is_better(_score(task, loads), _score(task, known)):
                known = loads
            yield loads
    # The last load holds what is left: on a shorter strip more of its sheet stays whole.
    *before, last = known
    if last.repeats == 1:
        for load in shortened_load(task, last.placed, effort, budget):
            yield (*before, load)


def _score(task: Task, loads: Loads) -> Score:
    wanted = sum(item.quantity for item in task.items)
    return score(loads, task.outlines, task.room, wanted)


def _rest_shared(
    task: Task,
    full: Sequence[Load],
    rest: Mapping[str, int],
    effort: Effort,
    budget: Budget,
    best: int,
) -> Iterator[Loads]:
    """Yield the full loads of each kind, and what is left of all kinds on shared ones."""
    if sum(count > 0 for count in rest.values()) > 1:
        most = best - load_count(full)
        shared = _shared(task, rest, effort, budget, max_loads=most)
        if shared is not None:
            yield (*full, *shared)


def _filled_up(
    task: Task,
    _full: Sequence[Load],
    _rest: Mapping[str, int],
    effort: Effort,
    budget: Budget,
    best: int,
) -> Iterator[Loads]:
    """Yield fewer loads than the best so far with small kinds beside large ones."""
    if best > _least(task):
        loads, left = _full_and_small(task, effort, budget)
        most = best - 1 - load_count(loads)
        shared = _shared(task, left, effort, budget, max_loads=most) if most >= 0 else None
        if shared is not None:
            yield (*loads, *shared)


def _all_shared(
    task: Task,
    _full: Sequence[Load],
    _rest: Mapping[str, int],
    effort: Effort,
    budget: Budget,
    best: int,
) -> Iterator[Loads]:
    """Yield all kinds on shared loads from the first one on."""
    wanted = {item.piece: item.quantity for item in task.items}
    if effort.edge_fillings and sum(wanted.values()) <= _MAX_MIXED and best > _least(task):
        shared = _shared(task, wanted, effort, budget, max_loads=best)
        if shared is not None:
            yield tuple(shared)


def _on_strips(
    task: Task,
    full: Sequence[Load],
    rest: Mapping[str, int],
    effort: Effort,
    budget: Budget,
    best: int,
) -> Iterator[Loads]:
    """Yield the same with kinds that share a load in rows on strips of their own."""
    total = sum(item.quantity for item in task.items)
    if not effort.blocks or not task.room.is_rectangle or total > _MAX_MIXED:
        return
    starts: list[tuple[Loads, dict[str, int]]] = [
        ((), {item.piece: item.quantity for item in task.items})
    ]
    if full:
        starts.append((tuple(full), dict(rest)))
    if best > _least(task):
        starts.append(_full_and_small(task, effort, budget))
    for loads, left in starts:
        most = best - load_count(loads)
        shared = _shared(task, left, effort, budget, max_loads=most, strips=True)
        if shared is not None:
            best = min(best, load_count(loads) + len(shared))
            yield (*loads, *shared)


def _least(task: Task) -> int:
    return min_loads(task.items, task.room, task.gap)


def _by_kind(task: Task) -> tuple[list[Load], list[Load], dict[str, int]]:
    """Return the full loads of each kind, one more for what is left of it, and how much that is."""
    full: list[Load] = []
    alone: list[Load] = []
    rest: dict[str, int] = {}
    for item in task.items:
        filling = task.known[item.piece]
        repeats, rest[item.piece] = divmod(item.quantity, len(filling))
        if repeats:
            full.append(Load(flush(filling, task), repeats))
        if rest[item.piece]:
            alone.append(Load(flush(filling[: rest[item.piece]], task)))
    return full, alone, rest


def _full_and_small(task: Task, effort: Effort, budget: Budget) -> tuple[Loads, dict[str, int]]:
    """Return full loads of each kind with smaller ones beside it, and what is left of each."""
    full = {piece: flush(filling, task) for piece, filling in task.known.items()}
    return filled_up(task.items, full, task.room, gap=task.gap, effort=effort, budget=budget)


def _shared(
    task: Task,
    rest: Mapping[str, int],
    effort: Effort,
    budget: Budget,
    *,
    max_loads: int,
    strips: bool = False,
) -> list[Load] | None:
    """Return what is left of all kinds on at most so many loads; ``None`` when it does not go."""
    left = dict(rest)
    loads: list[Load] = []
    while any(left.values()):
        if len(loads) == max_loads:
            return None
        placed = one_mixed(task, left, effort, budget, strips=strips)
        if not placed:
            return None
        for each in placed:
            left[each.piece] -= 1
        loads.append(Load(tuple(each.placement for each in placed)))
    return loads


def one_mixed(
    task: Task, wanted: Mapping[str, int], effort: Effort, budget: Budget, *, strips: bool = False
) -> list[Placed]:
    """Return one load of a mixture, as full as was found, of equally full ones the shortest.

    ``strips`` says whether kinds are laid in rows on strips of their own.
    """
    room, gap = task.room, task.gap
    placed: list[Placed] = []
    least: tuple[float, float] | None = None
    for found in _mixed(task, wanted, effort, budget, strips=strips):
        covered = sum(area(each.variant.base) for each in found)
        share = used_strip([each.placement for each in found], task.outlines, room).share
        reached = (-round(covered, 6), round(share, 9))
        if least is None or reached < least:
            least, placed = reached, found
    if strips or len(placed) == sum(wanted.values()) or not effort.both_directions:
        return placed
    taken_up = sum(grown_area(item.outline, gap) * wanted[item.piece] for item in task.items)
    if taken_up > room_area(room, gap):
        return placed
    seed = task.seed
    nested = all_on_one(task.items, wanted, room, gap=gap, seed=seed, effort=effort, budget=budget)
    return nested or placed


def _mixed(
    task: Task, wanted: Mapping[str, int], effort: Effort, budget: Budget, *, strips: bool
) -> Iterator[list[Placed]]:
    """Yield loads of a mixture: kinds one after the other, or each on strips of its own."""
    room, gap = task.room, task.gap
    if not strips:
        yield from mixed_loads(task.items, wanted, room, gap=gap, effort=effort, budget=budget)
        return
    here = [item for item in task.items if wanted[item.piece]]
    known = {item.piece: _blocks(task, item, effort, budget) for item in here}
    for order in orders_of(here, wanted, effort)[:_STRIP_ORDERS]:
        for side, whole_rows in product((0, 1), (True, False)):
            blocks = {piece: both[side] for piece, both in known.items() if both}
            if len(blocks) == len(here):
                yield kind_strips(
                    order,
                    wanted,
                    blocks,
                    room,
                    whole_rows=whole_rows,
                    gap=gap,
                    effort=effort,
                    budget=budget,
                )


def _blocks(task: Task, item: Item, effort: Effort, budget: Budget) -> list[RowBlocks]:
    """Return the blocks of rows of a kind, made once for each effort."""
    key = (item.piece, effort.name)
    if key not in task.blocks:
        most = min(item.quantity, most_on_one(item, task.room, task.gap))
        task.blocks[key] = row_blocks(
            item, task.room, most, gap=task.gap, effort=effort, budget=budget
        )
    return task.blocks[key]


def shortened_load(
    task: Task, wanted: Mapping[str, int], effort: Effort, budget: Budget
) -> Iterator[Load]:
    """Yield one load of all that is wanted on ever shorter strips, as the nester lays them."""
    found = shorter_strips(
        task.items,
        wanted,
        task.room,
        gap=task.gap,
        seed=task.seed,
        effort=effort,
        budget=budget,
    )
    for placed in found:
        yield Load(flush([each.placement for each in placed], task))
