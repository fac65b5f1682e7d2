"""A die's outlines on the least block: every press takes material as large as what rules cover."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Any

from geometry.layout.effort import NORMAL, QUICK, Budget, Effort
from geometry.layout.fitting.fit import DoesNotFit
from geometry.layout.item import Item
from geometry.layout.objective import placement_bounds
from geometry.layout.orders import order
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement

#: Outlines above which a die is left as it is: no shape of block saves much then.
_MAX_OUTLINES = 120
#: Widths of a block that are tried for one kind and for several, from this share of its height to
#: its inverse.
_WIDTHS, _FEW_WIDTHS, _NARROWEST = 16, 8, 0.2
#: Share of a block that must be saved: less is rounding.
_SAVED = 1.0e-6


def on_least_block(
    items: Sequence[Item],
    counts: Mapping[str, int],
    placed: tuple[Placement, ...],
    room: WorkArea,
    *,
    gap: float,
    effort: Effort,
    seed: int,
    budget: Budget,
) -> tuple[Placement, ...]:
    """Return the outlines of a die on the block of the least area that is found for them.

    Args:
        items: the kinds on the die.
        counts: how many of each stand on it.
        placed: where they stand.
        room: where rules may stand; only in a rectangle another place is sought.
        gap: least distance between outlines, mm.
        effort: how long to search; one kind lies well in rows, which are found at once.
        seed: of searches that draw lots.
        budget: says that the caller wants the best so far.
    """
    if not room.is_rectangle or not 1 < len(placed) <= _MAX_OUTLINES:
        return placed
    wanted = [replace(item, quantity=counts[item.piece]) for item in items]
    best, least, box = placed, _block(placed, items), room.bounds
    many = len(items) > 1 and effort.steps > 0.0
    how: dict[str, Any] = {"gap": gap, "effort": NORMAL if many else QUICK, "seed": seed}
    for width in _widths(least, room, _FEW_WIDTHS if many else _WIDTHS):
        narrower = WorkArea.rectangle(box.left, box.bottom, width, box.height)
        with suppress(DoesNotFit):
            found = order.lay_out(wanted, narrower, should_stop=budget.is_cut, **how).loads
            if len(found) > 1 or found[0].repeats > 1 or found[0].outlines != dict(counts):
                continue
            area = _block(found[0].placements, items)
            if area < (1.0 - _SAVED) * least:
                best, least = found[0].placements, area
    return best


def _block(placed: Sequence[Placement], items: Sequence[Item]) -> float:
    """Return the area of the block that outlines stand on, mm2."""
    box = placement_bounds(placed, {item.piece: item.outline for item in items})
    return box.width * box.height


def _widths(area: float, room: WorkArea, count: int) -> Iterator[float]:
    """Yield widths of blocks of an area that the room holds, the widest first, mm."""
    box = room.bounds
    for number in range(count):
        share = _NARROWEST ** (2.0 * number / (count - 1) - 1.0)
        width = math.sqrt(area * share)
        if width <= box.width and area / width <= box.height:
            yield width
