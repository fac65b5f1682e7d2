"""Several kinds of pieces together on a load: what the full loads of single kinds leave over."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from geometry.layout.free import Placed, add, placed_of
from geometry.layout.item import Item
from geometry.layout.single import fill
from geometry.measure import area
from geometry.model.cutter import WorkArea

#: Pieces of one kind above which they are laid in rows first, and only edges are mixed.
_ROWS_FROM = 12
#: Turns tried for each piece at each effort.
_TURNS = {"quick": 4, "normal": 8, "best": 16}

Counts = dict[str, int]


def mixed_load(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    *,
    gap: float,
    effort: str = "normal",
    out_of_time: Callable[[], bool] | None = None,
) -> list[Placed]:
    """Return one load of several kinds, as full as orders of placing made it.

    Shape:
        At least one piece where any is wanted that fits.
    """
    best: list[Placed] = []
    most = -1.0
    for order in _orders(items, wanted, effort):
        if best and out_of_time is not None and out_of_time():
            break
        for rows_first in (True, False):
            if not rows_first and sum(wanted.values()) > _MOST_FREE:
                continue
            placed = _in_order(order, wanted, room, gap, effort, out_of_time, rows_first)
            covered = sum(area(each.variant.base) for each in placed)
            if covered > most + 1e-6:
                best, most = placed, covered
            if len(best) == sum(wanted.values()):
                return best
    return best


#: Pieces above which laying them one by one takes too long.
_MOST_FREE = 400


def _orders(
    items: Sequence[Item], wanted: Mapping[str, int], effort: str
) -> list[tuple[Item, ...]]:
    """Return the orders of kinds worth trying: large ones first, long ones first, ..."""
    here = [item for item in items if wanted[item.piece] > 0]
    keys: list[Callable[[Item], float]] = [
        lambda item: -area(item.outline),
        lambda item: -max(item.outline.bounds.width, item.outline.bounds.height),
        lambda item: -area(item.outline) * wanted[item.piece],
        lambda item: float(wanted[item.piece]),
    ]
    found: list[tuple[Item, ...]] = []
    for key in keys[: 1 if effort == "quick" else len(keys)]:
        order = tuple(sorted(here, key=key))
        if order not in found:
            found.append(order)
    return found


def _in_order(
    order: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    gap: float,
    effort: str,
    out_of_time: Callable[[], bool] | None,
    rows_first: bool,  # noqa: FBT001 - one caller
) -> list[Placed]:
    placed: list[Placed] = []
    for item in order:
        count = wanted[item.piece]
        if rows_first and not placed and count >= _ROWS_FROM:
            wish = Item(item.piece, item.outline, count, item.turns, item.mirror)
            filled = fill(wish, room, gap=gap, effort="quick", out_of_time=out_of_time)
            placed = placed_of(filled.placements[:count], {item.piece: item.outline})
            count -= len(placed)
        if count > 0 and len(placed) <= _MOST_FREE:
            turns = _TURNS.get(effort, 8)
            add(item, count, room, placed, gap=gap, turns=turns, out_of_time=out_of_time)
    return placed
