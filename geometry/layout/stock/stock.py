"""Which sheets of a stock an order is cut from: the cheapest that hold it, or one after the other.

How pieces lie on one sheet is asked of a :class:`Filler`; this module only decides on which sheets.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import permutations, product
from math import prod

from geometry.layout.bound import grown_area, room_area
from geometry.layout.effort import ShouldStop
from geometry.layout.fitting.fit import DoesNotFit
from geometry.layout.item import Item, Layout
from geometry.layout.objective import used_strip
from geometry.layout.stock.knapsack import Choice, cheapest_counts
from geometry.layout.stock.stock_loads import first_loads, placed_on, repeated
from geometry.layout.stock.stock_rolls import off_rolls
from geometry.layout.stock.stock_sheets import Filler, StockLayout, StockSheet, StockUse
from geometry.layout.task import load_count

#: Kinds of sheets of which every order is tried.
_MAX_ORDERED = 3
#: Combinations of sheets that are listed at all, and that are filled to see whether they suffice.
_MAX_LISTED, _MAX_FILLED = 5000, 30


@dataclass(frozen=True)
class _Task:
    items: Sequence[Item]
    sheets: Sequence[StockSheet]
    filler: Filler
    gap: float
    sets: bool


#: Kinds of sheets by number in the order in which they are filled, each with its loads.
_Order = Sequence[tuple[int, int]]
#: Outlines missing, cost, material in mm2, loads: the lower is the better.
_Score = tuple[int, Fraction, float, int]


def in_order(
    items: Sequence[Item],
    sheets: Sequence[StockSheet],
    order: Sequence[int],
    filler: Filler,
    *,
    gap: float,
    sets: bool = False,
) -> StockLayout:
    """Return an order cut from sheets one after the other, each as full as it goes.

    Args:
        items: what to place.
        sheets: the stock.
        order: the numbers of the sheets, that which is used up first in front.
        filler: lays out single sheets.
        gap: least distance between outlines, mm.
        sets: whether loads hold whole sets, so that a sheet takes all kinds or none.
    """
    task = _Task(items, sheets, filler, gap, sets)
    return _filled(task, [(each, sheets[each].loads) for each in order], quick=False)


def at_lowest_cost(
    items: Sequence[Item],
    sheets: Sequence[StockSheet],
    filler: Filler,
    *,
    gap: float,
    sets: bool = False,
    should_stop: ShouldStop = None,
) -> StockLayout:
    """Return an order cut from the sheets that cost least together; of equal ones the smallest.

    One kind of piece on sheets: the least that full loads allow, exactly. Several kinds, or rolls:
    the cheapest of the combinations that were filled, which the final search may still tighten.

    Args:
        items: what to place.
        sheets: the stock.
        filler: lays out single sheets.
        gap: least distance between outlines, mm.
        sets: whether loads hold whole sets, so that a sheet takes all kinds or none.
        should_stop: says that the caller wants the best so far.
    """
    task = _Task(items, sheets, filler, gap, sets)
    if _is_exact(task):
        return _filled(task, _of_one_kind(task), quick=False)
    order, rough = _best_order(task, should_stop)
    final = _filled(task, order, quick=False)
    return min(rough, final, key=lambda each: _score(task, each))


def is_enough(
    items: Sequence[Item],
    sheets: Sequence[StockSheet],
    filler: Filler,
    *,
    gap: float,
    sets: bool = False,
    order: Sequence[int] | None = None,
) -> bool:
    """Return whether an order that is cut from a stock finds room for everything.

    Args:
        items: what to place.
        sheets: the stock.
        filler: lays out single sheets.
        gap: least distance between outlines, mm.
        sets: whether loads hold whole sets.
        order: as for ``in_order``; the lowest cost is sought where it is left out.
    """
    if order is not None:
        return not in_order(items, sheets, order, filler, gap=gap, sets=sets).missing
    task = _Task(items, sheets, filler, gap, sets)
    if _is_exact(task):
        return not _filled(task, _of_one_kind(task), quick=False).missing
    # The search for the lowest cost tries the same, and keeps what holds most.
    return any(not _filled(task, each, quick=True).missing for each in _orders(task))


def _is_exact(task: _Task) -> bool:
    return len(task.items) == 1 and not any(each.room.open_right for each in task.sheets)


def _of_one_kind(task: _Task) -> _Order:
    """Return the sheets that cost least for one kind of piece, the one with most room last."""
    (item,) = task.items
    held: dict[int, int] = {}
    for number in range(len(task.sheets)):
        try:
            full = task.filler.fullest(item, number, quick=False)
        except DoesNotFit:
            continue
        held[number] = len(full.loads[0].placements)
    choices = [
        Choice(count, task.sheets[number].loads, task.sheets[number].cost, _size(task, number))
        for number, count in held.items()
    ]
    counts = cheapest_counts(item.quantity, choices)
    taken = dict(zip(held, counts, strict=True))
    # What is left over of the last load is then as large as it can be.
    return sorted(taken.items(), key=lambda each: (held[each[0]], each[0]))


def _size(task: _Task, sheet: int) -> float:
    return room_area(task.sheets[sheet].room, 0.0)


def _best_order(task: _Task, should_stop: ShouldStop) -> tuple[_Order, StockLayout]:
    """Return the sheets that hold an order at the lowest cost, and how they do."""
    best: tuple[_Score, _Order, StockLayout] | None = None
    for number, order in enumerate(_orders(task)):
        if number and should_stop is not None and should_stop():
            break
        found = _filled(task, order, quick=True)
        score = _score(task, found)
        if best is None or score < best[0]:
            used = [(use.sheet, load_count(use.layout.loads)) for use in found.uses]
            best = (score, used, found)
    assert best is not None  # noqa: S101 - there is at least one order
    for order in _cheaper(task, best[0]):
        if should_stop is not None and should_stop():
            break
        found = _filled(task, order, quick=True)
        if not found.missing and _score(task, found) < best[0]:
            return order, found
    return best[1], best[2]


def _orders(task: _Task) -> Iterator[_Order]:
    """Yield orders in which whole kinds of sheets are used up."""
    numbers = range(len(task.sheets))
    everything = [(number, task.sheets[number].loads) for number in numbers]

    def dear(number: int) -> Fraction:
        sheet = task.sheets[number]
        if sheet.room.open_right:
            return sheet.cost_per_mm / Fraction(sheet.room.bounds.height)
        return sheet.cost / Fraction(_size(task, number))

    if len(task.sheets) <= _MAX_ORDERED:
        yield from permutations(everything)
        return
    yield sorted(everything, key=lambda each: (dear(each[0]), each[0]))
    yield sorted(everything, key=lambda each: (-_size(task, each[0]), each[0]))
    yield sorted(everything, key=lambda each: (_size(task, each[0]), each[0]))
    yield everything


def _cheaper(task: _Task, known: _Score) -> Iterator[_Order]:
    """Yield combinations of sheets that could hold an order for less, the cheapest first."""
    sheets = task.sheets
    if any(each.room.open_right for each in sheets):
        return
    if known[0] or prod(each.loads + 1 for each in sheets) > _MAX_LISTED:
        return
    needed = sum(grown_area(item.outline, task.gap) * item.quantity for item in task.items)
    rooms = [room_area(each.room, task.gap) for each in sheets]
    listed = []
    for counts in product(*(range(each.loads + 1) for each in sheets)):
        if sum(count * room for count, room in zip(counts, rooms, strict=True)) < needed:
            continue
        cost = sum((each.cost * n for each, n in zip(sheets, counts, strict=True)), Fraction(0))
        size = sum(n * _size(task, number) for number, n in enumerate(counts))
        if (cost, size) < known[1:3]:
            listed.append((cost, size, counts))
    for _, _, counts in sorted(listed)[:_MAX_FILLED]:
        taken = [(number, count) for number, count in enumerate(counts) if count]
        by_size = sorted(taken, key=lambda each: (_size(task, each[0]), each[0]))
        yield by_size
        if len(taken) > 1:
            yield by_size[::-1]


def _filled(task: _Task, order: _Order, *, quick: bool) -> StockLayout:
    """Return an order on sheets that are filled one after the other."""
    left = {item.piece: item.quantity for item in task.items}
    uses = []
    for sheet, loads in order:
        wanted = [
            replace(item, quantity=left[item.piece]) for item in task.items if left[item.piece]
        ]
        layout = _on(task, wanted, sheet, loads, quick=quick) if loads else None
        if layout is None:
            continue
        uses.append(StockUse(sheet, layout))
        for piece, count in placed_on(layout).items():
            left[piece] -= count
    return StockLayout(tuple(uses), {piece: count for piece, count in left.items() if count})


def _on(
    task: _Task, items: Sequence[Item], sheet: int, loads: int, *, quick: bool
) -> Layout | None:
    """Return what at most so many loads of a sheet hold of an order; ``None`` for nothing."""
    if task.sheets[sheet].rolls is not None:
        there = task.sheets[sheet]
        return off_rolls(items, there, sheet, task.filler, quick=quick, sets=task.sets)
    wanted = list(items)
    while wanted:
        try:
            return _limited(task, wanted, sheet, loads, quick=quick)
        except DoesNotFit as error:
            # Another sheet may be large enough for that piece.
            wanted = [] if task.sets else [item for item in wanted if item.piece != error.piece]
    return None


def _limited(
    task: _Task, items: Sequence[Item], sheet: int, loads: int, *, quick: bool
) -> Layout | None:
    filler = task.filler
    if len(items) > 1:
        return first_loads(filler.lay(items, sheet, quick=quick), loads)
    full = filler.fullest(items[0], sheet, quick=quick)
    held, quantity = len(full.loads[0].placements), items[0].quantity
    if quantity > held * loads:
        return repeated(full, held, loads * held)
    layout = filler.lay(items, sheet, quick=quick)
    return layout if load_count(layout.loads) <= loads else repeated(full, held, quantity)


def _score(task: _Task, found: StockLayout) -> _Score:
    outlines = {item.piece: item.outline for item in task.items}
    cost, size, loads = Fraction(0), 0.0, 0
    for use in found.uses:
        sheet = task.sheets[use.sheet]
        for load in use.layout.loads:
            loads += load.repeats
            if not sheet.room.open_right:
                cost += sheet.cost * load.repeats
                size += _size(task, use.sheet) * load.repeats
                continue
            strip = used_strip(load.placements, outlines, sheet.room)
            size += strip.area * load.repeats
            if sheet.rolls is None:
                cost += sheet.cost * load.repeats
                continue
            drawn = Fraction(round(strip.right - strip.left + sheet.rolls.around, 3))
            cost += sheet.cost_per_mm * drawn * load.repeats
    return sum(found.missing.values()), cost, round(size, 3), loads
