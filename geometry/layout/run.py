"""A whole order of pieces on as many loads as it takes."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from geometry.layout.bound import (
    grown_area,
    length_at_least,
    loads_at_least,
    most_on_one,
    room_area,
)
from geometry.layout.free import Placed
from geometry.layout.item import Item, Layout
from geometry.layout.longer import all_on_one, fuller, worth_asking
from geometry.layout.mixed import mixed_load
from geometry.layout.offcuts import offcuts_of
from geometry.layout.roll import lay_roll
from geometry.layout.single import Filled, fill
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.tolerance import LAYOUT_ACCURACY

Stop = Callable[[], bool] | None
#: Seconds after which the longest search is cut short.
LONGEST_S = 60.0
#: Pieces of all kinds up to which they are also mixed from the first load on.
_MOST_MIXED = 400
#: Is told the share done, 0 to 1, and what was just done, in words.
Progress = Callable[[float, str], None] | None


def _flush(placements: tuple[Placement, ...], item: Item, room: WorkArea) -> tuple[Placement, ...]:
    """Return the placements moved together into the lower left corner of a rectangle."""
    if not room.is_rectangle:
        return placements
    boxes = [each.move.outline(item.outline).bounds for each in placements]
    dx = room.bounds.left - min(box.left for box in boxes)
    dy = room.bounds.bottom - min(box.bottom for box in boxes)
    return tuple(
        replace(each, move=replace(each.move, x=each.move.x + dx, y=each.move.y + dy))
        for each in placements
    )


def lay_out(
    items: Sequence[Item],
    room: WorkArea,
    *,
    gap: float,
    effort: str | float = "normal",
    seed: int = 0,
    deadline: Callable[[], bool] | None = None,
    sets: bool = False,
    progress: Progress = None,
) -> Layout:
    """Return the loads that cut an order.

    Full loads of one kind first, in lattices; what is left of all kinds then shares loads.

    Shape:
        Loads that are alike stand once with their repeats; the last, less full one by itself.

    Units:
        mm.

    Args:
        items: what to place; each quantity at least 1.
        room: where cut lines may lie; with ``open_right`` everything goes on one load, as short
            as it was got.
        gap: least distance between outlines, at least 0.
        effort: how long to search: ``quick``, ``normal``, ``best`` or seconds.
        seed: of searches that draw lots; the same seed gives the same layout.
        deadline: says when time is up, or the caller wants no more; the best layout so far is
            then returned.
        sets: whether each load shall hold whole sets (each item in the proportion asked).
        progress: is told the share done, 0 to 1 and never falling, and the best so far in words.
            What it raises ends the search and passes through.

    Raises:
        DoesNotFit: when an item is larger than the room however it may be turned.
    """
    level = effort if isinstance(effort, str) else "best"
    stop = _stopper(effort, deadline)
    told = progress or _unheard
    loads: tuple[Load, ...]
    warnings: tuple[str, ...] = ()
    if room.open_right:
        loads, complete, warnings = _on_roll(items, room, gap, level, stop, told, seed, sets)
    elif sets and len(items) > 1:
        loads, complete, warnings = _in_sets(items, room, gap, level, stop, told)
    else:
        loads, complete = _fewest(items, room, gap, level, stop, told, seed)
    told(1.0, f"{_count(_taken(loads), 'load')} laid out")
    outlines = {item.piece: item.outline for item in items}
    covered = tuple(_covered(load, outlines) / _available(load, outlines, room) for load in loads)
    return Layout(
        loads=loads,
        complete=complete,
        warnings=warnings,
        bound=_bound(items, room, gap),
        offcuts=offcuts_of(loads, outlines, room, gap),
        utilisation=covered,
        most_on_one=most_on_one(items[0], room, gap)
        if len(items) == 1 and not room.open_right
        else None,
        length_bound=length_at_least(items, room, gap) if room.open_right else None,
    )


def _bound(items: Sequence[Item], room: WorkArea, gap: float) -> int:
    if not room.open_right:
        return loads_at_least(items, room, gap)
    if math.isinf(room.longest):
        return 1
    box = room.bounds
    sheet = WorkArea.rectangle(box.left, box.bottom, room.longest, box.height)
    return loads_at_least(items, sheet, gap)


def _on_roll(
    items: Sequence[Item],
    room: WorkArea,
    gap: float,
    level: str,
    stop: Stop,
    told: Callable[[float, str], None],
    seed: int,
    sets: bool,  # noqa: FBT001 - as the caller has it
) -> tuple[tuple[Load, ...], bool, tuple[str, ...]]:
    """Return one length of roll, or as many as it takes where a length has its limit."""

    def drawn(each: Sequence[Item]) -> tuple[tuple[Load, ...], bool]:
        return lay_roll(each, room, gap=gap, effort=level, seed=seed, out_of_time=stop, told=told)

    loads, complete = drawn(items)
    outlines = {item.piece: item.outline for item in items}
    if _length(loads[0], outlines, room) <= room.longest + LAYOUT_ACCURACY:
        return loads, complete, ()
    box = room.bounds
    sheet = WorkArea.rectangle(box.left, box.bottom, room.longest, box.height)
    warnings: tuple[str, ...] = ()
    if sets and len(items) > 1:
        loads, whole, warnings = _in_sets(items, sheet, gap, level, stop, _unheard)
    else:
        loads, whole = _loads(items, sheet, gap, level, stop, _unheard, seed)
    # The last length holds less: it is drawn off no farther than it has to be.
    last = loads[-1]
    if last.repeats == 1:
        short, ended = drawn([replace(i, quantity=last.placed.get(i.piece, 0)) for i in items
                              if i.piece in last.placed])  # fmt: skip
        whole = whole and ended
        if _length(short[0], outlines, room) < _length(last, outlines, room):
            loads = (*loads[:-1], *short)
    return loads, complete and whole, warnings


def _length(load: Load, outlines: Mapping[str, Outline], room: WorkArea) -> float:
    """Return the length of roll that a load takes, mm."""
    ends = (each.move.outline(outlines[each.piece]).bounds.right for each in load.placements)
    return max(ends) - room.bounds.left


def _unheard(share: float, message: str) -> None:
    """Take progress that nobody asked for."""


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _available(load: Load, outlines: Mapping[str, Outline], room: WorkArea) -> float:
    """Return the area that a load's share is taken of: of a roll, the length that is used."""
    if not room.open_right:
        return area(room.boundary)
    return _length(load, outlines, room) * room.bounds.height


def _covered(load: Load, outlines: Mapping[str, Outline]) -> float:
    return sum(area(outlines[piece]) * count for piece, count in load.placed.items())


def _stopper(effort: str | float, deadline: Stop) -> Stop:
    if isinstance(effort, str) and effort != "best":
        return deadline
    # Seconds of search are the one thing here that has to look at a clock.
    until = time.monotonic() + (LONGEST_S if isinstance(effort, str) else effort)
    return lambda: time.monotonic() >= until or (deadline is not None and deadline())


def _fewest(
    items: Sequence[Item],
    room: WorkArea,
    gap: float,
    level: str,
    stop: Stop,
    told: Callable[[float, str], None],
    seed: int,
) -> tuple[tuple[Load, ...], bool]:
    """Return the loads of an order; of a mixture ``best`` looks on only where one may be saved."""
    if level != "best" or len(items) == 1:
        return _loads(items, room, gap, level, stop, told, seed)
    usual, ended = _loads(items, room, gap, "normal", stop, _unheard, seed)
    if not ended or _taken(usual) <= loads_at_least(items, room, gap):
        return usual, ended
    told(0.1, f"{_count(_taken(usual), 'load')} so far")
    longer, ended = _loads(items, room, gap, level, stop, _later(told), seed)
    return (longer if _taken(longer) < _taken(usual) else usual), ended


def _later(told: Callable[[float, str], None]) -> Callable[[float, str], None]:
    """Return what tells the second part of a search, after a tenth was done."""
    return lambda share, message: told(0.1 + 0.9 * share, message)


def _loads(
    items: Sequence[Item],
    room: WorkArea,
    gap: float,
    level: str,
    stop: Stop,
    told: Callable[[float, str], None],
    seed: int,
) -> tuple[tuple[Load, ...], bool]:
    full: list[Load] = []
    rest: dict[str, int] = {}
    alone: list[Load] = []
    complete = True
    for number, item in enumerate(items):
        # Kinds that share their last loads may be glad of a fuller one before.
        enough = _enough(item, room, gap) if len(items) == 1 else item.quantity
        # In a mixture the last loads are shared: how full one kind's are matters less.
        patient = level if len(items) == 1 or level == "best" else "quick"
        filled = _fullest(item, room, gap, level, patient, stop, seed, enough)
        complete = complete and filled.complete
        repeats, rest[item.piece] = divmod(item.quantity, len(filled.placements))
        if repeats:
            full.append(Load(_flush(filled.placements, item, room), repeats))
        if rest[item.piece]:
            # The last load of one kind: the first of its places, drawn into the corner.
            alone.append(Load(_flush(filled.placements[: rest[item.piece]], item, room)))
        most = len(filled.placements)
        told((number + 1) / (len(items) + 1), f"{_count(most, 'outline')} of {item.piece} a load")
    if len(alone) > 1:
        shared, whole = _shared(items, rest, room, gap, level, stop, most=len(alone) - 1, seed=seed)
        complete = complete and whole
        alone = alone if shared is None else shared
    if len(items) > 1:
        together, whole = _all_shared(items, room, gap, level, stop, _taken([*full, *alone]), seed)
        complete = complete and whole
        if together is not None:
            full, alone = [], together
        complete = complete and (stop is None or not stop())
    return (*full, *alone), complete


def _taken(loads: Sequence[Load]) -> int:
    return sum(load.repeats for load in loads)


def _all_shared(
    items: Sequence[Item],
    room: WorkArea,
    gap: float,
    level: str,
    stop: Stop,
    most: int,
    seed: int,
) -> tuple[list[Load] | None, bool]:
    """Return all pieces mixed from the first load on, where that takes fewer than ``most``.

    Small kits only: large ones gain nothing by it and take long.
    """
    small = sum(item.quantity for item in items) <= _MOST_MIXED
    if level == "quick" or not small or most <= loads_at_least(items, room, gap):
        return None, True
    wanted = {item.piece: item.quantity for item in items}
    return _shared(items, wanted, room, gap, level, stop, most=most - 1, seed=seed)


def _shared(
    items: Sequence[Item],
    rest: Mapping[str, int],
    room: WorkArea,
    gap: float,
    level: str,
    stop: Stop,
    *,
    most: int,
    seed: int,
) -> tuple[list[Load] | None, bool]:
    """Return what is left of all kinds on at most so many loads; ``None`` when it does not go.

    The second value tells whether the search was let end by itself.
    """
    left = dict(rest)
    loads: list[Load] = []
    complete = True
    while any(left.values()):
        if len(loads) == most:
            return None, complete
        placed = mixed_load(items, left, room, gap=gap, effort=level, out_of_time=stop)
        if not placed:
            return None, complete
        if (
            level == "best"
            and len(placed) < sum(left.values())
            and _may_hold(items, left, room, gap)
        ):
            found = all_on_one(items, left, room, gap=gap, seed=seed, level=level, out_of_time=stop)
            complete = complete and found.complete
            placed = found.placed or placed
        for each in placed:
            left[each.piece] -= 1
        loads.append(Load(tuple(each.placement for each in placed)))
    return loads, complete


def _may_hold(items: Sequence[Item], left: Mapping[str, int], room: WorkArea, gap: float) -> bool:
    taken = sum(grown_area(item.outline, gap) * left[item.piece] for item in items)
    return taken <= room_area(room, gap)


def _enough(item: Item, room: WorkArea, gap: float) -> int:
    """Return how many pieces a load must hold for no layout to do with fewer loads."""
    most = max(1, min(most_on_one(item, room, gap), item.quantity))
    return math.ceil(item.quantity / math.ceil(item.quantity / most))


def _fullest(
    item: Item,
    room: WorkArea,
    gap: float,
    level: str,
    patient: str,
    stop: Stop,
    seed: int,
    enough: int,
) -> Filled:
    """Return the fullest load of one kind, where it is worth it with the nester's help."""
    filled = fill(item, room, gap=gap, effort=level, out_of_time=stop, enough=enough)
    count, limit = len(filled.placements), most_on_one(item, room, gap)
    if not filled.complete or count >= enough or not worth_asking(item, count, limit, patient):
        return filled
    more = fuller(item, count, limit, room, gap=gap, seed=seed, level=level, out_of_time=stop)
    if more.placed is None:
        return replace(filled, complete=more.complete)
    return Filled(tuple(each.placement for each in more.placed), more.complete)


def _in_sets(
    items: Sequence[Item],
    room: WorkArea,
    gap: float,
    level: str,
    stop: Stop,
    told: Callable[[float, str], None],
) -> tuple[tuple[Load, ...], bool, tuple[str, ...]]:
    """Return loads of whole sets, as many sets on each as were got on one."""
    sets = math.gcd(*(item.quantity for item in items))
    one = {item.piece: item.quantity // sets for item in items}
    low, high, best = 0, sets, None
    while low < high:
        middle = (low + high + 1) // 2 if low else 1
        wanted = {piece: count * middle for piece, count in one.items()}
        placed = mixed_load(items, wanted, room, gap=gap, effort=level, out_of_time=stop)
        if len(placed) == sum(wanted.values()):
            low, best = middle, placed
            told(min(0.9, low / sets), f"{_count(low, 'whole set')} a load")
        else:
            high = middle - 1
        if stop is not None and stop():
            break
    if best is None:
        loads, complete = _loads(items, room, gap, level, stop, _unheard, 0)
        return loads, complete, ("A whole set does not go on one load; the loads hold parts.",)
    repeats, rest = divmod(sets, low)
    loads = (Load(tuple(each.placement for each in best), repeats),)
    if rest:
        wanted = {piece: count * rest for piece, count in one.items()}
        loads = (*loads, Load(_first_of(best, wanted)))
    return loads, stop is None or not stop(), ()


def _first_of(placed: Sequence[Placed], wanted: Mapping[str, int]) -> tuple[Placement, ...]:
    left = dict(wanted)
    kept: list[Placement] = []
    for each in placed:
        placement = each.placement
        if left[placement.piece]:
            left[placement.piece] -= 1
            kept.append(placement)
    return tuple(kept)
