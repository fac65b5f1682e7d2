"""Small pieces in what loads of a larger kind leave free: fewer loads of several kinds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, add, placed_of
from geometry.layout.item import Item
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement

#: Outlines on one load up to which what is left of it is looked at.
_MAX_PLACED = 120
#: Smaller kinds that are tried beside a larger one.
_MAX_KINDS = 6


def filled_up(
    items: Sequence[Item],
    fillings: Mapping[str, tuple[Placement, ...]],
    room: WorkArea,
    *,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> tuple[tuple[Load, ...], dict[str, int]]:
    """Return full loads of each kind with smaller kinds beside it, and what is left of each kind.

    Kinds take their turn from the largest on. A load is filled up with as much as goes on it of
    the smaller kinds, the largest first.

    Raises:
        SearchEnded: when the budget is spent.
    """
    order = sorted(items, key=lambda item: -area(item.outline))
    outlines = {item.piece: item.outline for item in items}
    left = {item.piece: item.quantity for item in items}
    loads: list[Load] = []
    for number, item in enumerate(order):
        filling = fillings[item.piece]
        smaller = order[number + 1 : number + 1 + _MAX_KINDS]
        while left[item.piece] >= len(filling):
            placed = _with_smaller(filling, smaller, left, outlines, room, gap, effort, budget)
            counts = _counts(placed)
            repeats = min(left[piece] // count for piece, count in counts.items())
            loads.append(Load(tuple(each.placement for each in placed), repeats))
            for piece, count in counts.items():
                left[piece] -= count * repeats
    return tuple(loads), left


def _with_smaller(
    filling: Sequence[Placement],
    smaller: Sequence[Item],
    left: Mapping[str, int],
    outlines: dict[str, Outline],
    room: WorkArea,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> list[Placed]:
    placed = placed_of(filling, outlines)
    free = area(room.boundary) - sum(area(each.variant.base) for each in placed)
    for item in smaller:
        if left[item.piece] and len(placed) <= _MAX_PLACED and area(item.outline) < free:
            turns = effort.turns_per_piece
            add(item, left[item.piece], room, placed, gap=gap, turns=turns, budget=budget)
    return placed


def _counts(placed: Sequence[Placed]) -> dict[str, int]:
    found: dict[str, int] = {}
    for each in placed:
        found[each.piece] = found.get(each.piece, 0) + 1
    return found
