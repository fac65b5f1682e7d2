"""Pieces on roll stock: its width is given, its length is to be short."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, product
from typing import Any

from geometry.layout.bound import grown_area
from geometry.layout.columns.box_columns import box_columns
from geometry.layout.effort import NORMAL, Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, add
from geometry.layout.fitting.fit import DoesNotFit, fitting_turn
from geometry.layout.grids.grid_loads import grid_on_roll
from geometry.layout.item import Filling, Item
from geometry.layout.nesting.nester_search import shorter_lengths, shortest
from geometry.layout.rolls.roll_bands import MAX_FREE, KindRows, end_of, stretch_of
from geometry.layout.rolls.roll_lanes import in_lanes
from geometry.layout.rolls.turned_ends import Band, with_turned_ends
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement

#: Pieces up to which those are laid twice, with the turns in one order and in the other.
_MAX_TWICE = 40
#: Row patterns refined for a roll of many pieces, all kinds together: half of what a search of the
#: usual effort may take.
_MANY_PATTERNS = 100
#: Kinds up to which rows of each are refined by every effort.
_FEW_KINDS = 3


def roll_layouts(
    items: Sequence[Item],
    room: WorkArea,
    *,
    gap: float,
    effort: Effort,
    seed: int,
    budget: Budget,
) -> Iterator[tuple[Placement, ...]]:
    """Yield ever shorter lengths of roll with everything on them.

    Each kind in its own stretch first, then all kinds together.

    Raises:
        DoesNotFit: when an item is wider than the roll however it may be turned.
        SearchEnded: when the budget is spent.
    """
    left = room.bounds.left
    outlines = {item.piece: item.outline for item in items}
    bands: list[Band] = []
    # Rows of many kinds one behind the other are far longer than what the nester makes of them: the
    # steps are better spent there.
    known = len(items) > _FEW_KINDS and effort.both_directions and budget.nester is not None
    by_rows = NORMAL if known else effort
    for item in sorted(items, key=_by_area):
        _require_width(item, room, gap)
        stretch = stretch_of(room, left, _longest([item], room, gap))
        rows = KindRows(gap, by_rows, budget, _patterns(item, items, by_rows))
        bands.append(Band.laid(item, stretch, rows))
        left = bands[-1].end + gap
    best = tuple(each for band in bands for each in band.placements)
    yield best
    length = end_of(best, outlines) - room.bounds.left
    how: dict[str, Any] = {"gap": gap, "seed": seed, "budget": budget}
    for found in chain(
        grid_on_roll(items, room, length, gap=gap, effort=effort, budget=budget),
        _in_columns(items, room, gap),
        _in_lanes(items, room, gap, effort),
        map(_filling, shorter_lengths(items, room, effort=effort, **how)),
        with_turned_ends(bands, gap),
        _all_together(items, room, gap, effort, seed, budget),
    ):
        if end_of(found, outlines) < end_of(best, outlines):
            best = found
            yield best


def _in_columns(
    items: Sequence[Item], room: WorkArea, gap: float
) -> Iterator[tuple[Placement, ...]]:
    """Yield a few pieces of several kinds in columns that other kinds fill up."""
    wanted = {item.piece: item.quantity for item in items}
    found = box_columns(items, wanted, room, gap, from_left=True)
    if len(found) == sum(wanted.values()):
        yield found


def _in_lanes(
    items: Sequence[Item], room: WorkArea, gap: float, effort: Effort
) -> Iterator[tuple[Placement, ...]]:
    """Yield a few pieces of several kinds in columns and in lanes side by side.

    The first stage leaves the lanes out: there they would take a third of the time.
    """
    # Rows in lanes are as loose as the lanes allow; only boxes lie edge to edge all the same.
    if effort.loose or all(item.fills_its_box for item in items):
        found = in_lanes(items, room, gap, lanes=bool(effort.blocks))
        if found:
            yield found


def _all_together(
    items: Sequence[Item],
    room: WorkArea,
    gap: float,
    effort: Effort,
    seed: int,
    budget: Budget,
) -> Iterator[tuple[Placement, ...]]:
    """Yield layouts of all kinds together: piece by piece, then as the nester lays them.

    Raises:
        SearchEnded: when the budget is spent.
    """
    if sum(item.quantity for item in items) <= MAX_FREE and effort.edge_fillings:
        singly = _one_by_one(items, room, gap, effort, budget)
        if singly:
            yield singly
    if effort.both_directions:
        yield from map(_filling, shortest(items, room, gap=gap, seed=seed, budget=budget))


def _require_width(item: Item, room: WorkArea, gap: float) -> None:
    """Raise when an item is wider than the roll or longer than can be drawn off it."""
    enough = min(_longest([item], room, gap), room.longest)
    try:
        fitting_turn(item, stretch_of(room, room.bounds.left, enough))
    except DoesNotFit as error:
        # The roll itself has no end: only a stated limit is one.
        width = min(error.needed[0], room.longest)
        available = (width, room.bounds.height)
        raise DoesNotFit(item.piece, error.needed, available, error.largest_scale) from None


def _longest(items: Sequence[Item], room: WorkArea, gap: float) -> float:
    """Return a length that is surely enough: every piece on a length of its own, mm."""
    reach = max(
        (part.width + part.height for part in (item.outline.bounds for item in items)), default=0.0
    )
    taken = sum(grown_area(item.outline, gap) * item.quantity for item in items)
    count = sum(item.quantity for item in items)
    return min(count * (reach + gap), 8.0 * taken / room.bounds.height + 8.0 * reach)


def _patterns(item: Item, items: Sequence[Item], effort: Effort) -> int:
    """Return how many row patterns are refined for one of several kinds.

    Of many pieces that fill the plane equally well, turned otherwise, the width of the roll
    decides; a few are laid in other ways as well.
    """
    if item.quantity <= MAX_FREE or not effort.edge_fillings:
        return effort.roll_refined
    many = sum(each.quantity > MAX_FREE for each in items)
    return max(effort.roll_refined, _MANY_PATTERNS // many)


def _one_by_one(
    items: Sequence[Item],
    room: WorkArea,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> tuple[Placement, ...] | None:
    room = stretch_of(room, room.bounds.left, _longest(items, room, gap))
    best: tuple[Placement, ...] | None = None
    outlines = {item.piece: item.outline for item in items}
    few = sum(item.quantity for item in items) <= _MAX_TWICE
    for key, reverse in product((_by_area, _by_reach), (False, True) if few else (False,)):
        placed: list[Placed] = []
        for item in sorted(items, key=key):
            turns = effort.turns_per_piece
            add(
                item,
                item.quantity,
                room,
                placed,
                gap=gap,
                turns=turns,
                budget=budget,
                reverse=reverse,
            )
        if len(placed) < sum(item.quantity for item in items):
            continue
        found = _filling(placed)
        if best is None or end_of(found, outlines) < end_of(best, outlines):
            best = found
    return best


def _filling(placed: Sequence[Placed]) -> Filling:
    return tuple(each.placement for each in placed)


def _by_area(item: Item) -> float:
    return -area(item.outline)


def _by_reach(item: Item) -> float:
    return -max(item.outline.bounds.width, item.outline.bounds.height)
