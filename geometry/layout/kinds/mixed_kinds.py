"""Several kinds of pieces together on a load: what the full loads of single kinds leave over."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from geometry.layout.effort import QUICK, Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, add, placed_of
from geometry.layout.item import Item
from geometry.layout.one_kind.one_kind import fillings
from geometry.measure import area
from geometry.model.cutter import WorkArea

#: Pieces of one kind above which they are laid in rows first, and only edges are mixed.
_ROWS_FROM = 12
#: Pieces above which laying them one by one takes too long, and the same in the first stage,
#: which nothing cuts short.
_MAX_FREE, _MAX_FREE_QUICK = 400, 120


def mixed_loads(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    *,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> Iterator[list[Placed]]:
    """Yield ever fuller loads of several kinds, as orders of placing made them.

    Shape:
        At least one piece where any is wanted that fits.

    Raises:
        SearchEnded: when the budget is spent.
    """
    most = 0.0
    max_free = _MAX_FREE if effort.edge_fillings else _MAX_FREE_QUICK
    for order in orders_of(items, wanted, effort):
        for rows_first in (True, False):
            if not rows_first and sum(wanted.values()) > max_free:
                continue
            placed = _in_order(order, wanted, room, gap, effort, budget, rows_first, max_free)
            covered = sum(area(each.variant.base) for each in placed)
            if covered > most + 1e-6:
                most = covered
                yield placed
            if len(placed) == sum(wanted.values()):
                return


def orders_of(
    items: Sequence[Item], wanted: Mapping[str, int], effort: Effort
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
    for key in keys[: effort.orders]:
        order = tuple(sorted(here, key=key))
        if order not in found:
            found.append(order)
    return found


def _in_order(
    order: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    gap: float,
    effort: Effort,
    budget: Budget,
    rows_first: bool,  # noqa: FBT001 - one caller
    max_free: int,
) -> list[Placed]:
    placed: list[Placed] = []
    for item in order:
        count = wanted[item.piece]
        if rows_first and not placed and count >= _ROWS_FROM:
            first = Item(item.piece, item.outline, count, item.turns, item.mirror)
            *_, filled = fillings(first, room, gap=gap, effort=QUICK, budget=budget)
            placed = placed_of(filled[:count], {item.piece: item.outline})
            count -= len(placed)
        if count > 0 and len(placed) <= max_free:
            turns = effort.turns_per_piece
            add(item, count, room, placed, gap=gap, turns=turns, budget=budget)
    return placed
