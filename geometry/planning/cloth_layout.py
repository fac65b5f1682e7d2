"""The fabric that a cutter's layout takes: a length of it as a roll, or a number of pre-cut pieces.

The lengthwise grain runs along a roll, so pieces are turned a quarter from how they are drawn;
those that any turn will do for are left to the layout.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from geometry.errors import GeometryError
from geometry.layout import Item, lay_out
from geometry.layout.objective import placement_bounds
from geometry.model.cutter import WorkArea
from geometry.planning.cloth import Cut, Fabric, with_spoilage
from geometry.planning.strip_layout import strip_layouts, strips_length
from geometry.planning.yardage import yardage

#: Outlines on one length of roll; of more, equal lengths are laid one after another.
_MAX_ON_ONE = 20_000
_ON_EACH_OF_MANY = 5_000
#: What one request's layouts may cost: a kind with straight sides costs 1. Own measurement: 100
#: take 10 to 40 s.
MAX_COST = 100.0
_COST_WITH_ARCS = 5.0
_OUTLINES_PER_COST = 500.0
#: Decimals of a layout's length, mm: what is finer is its accuracy, and must not cost a step.
_DECIMALS = 3


#: Up to so many pieces and kinds with straight sides are laid out with the usual effort of a run;
#: all others with the one that no other effort is worse than.
_MAX_USUAL, _MAX_USUAL_KINDS = 500, 5
_COST_OF_USUAL = 5.0
#: The lengthwise grain goes up a drawing, and along a roll from left to right.
_AHEAD = 90.0
#: Layouts that are remembered: the colours of a quilt often take the same pieces.
_REMEMBERED = 128


def cost_of_all(cloths: Iterable[Sequence[Cut]], fabric: Fabric) -> float:
    """Return what laying out the pieces of several cloths costs; equal ones are laid out once."""
    return math.fsum(cost_of(cuts, fabric) for cuts in {tuple(each) for each in cloths})


def cost_of(cuts: Sequence[Cut], fabric: Fabric) -> float:
    """Return what laying pieces out costs, to be compared with ``MAX_COST``."""
    items = _items(cuts, fabric)
    usual = _COST_OF_USUAL if effort_for(items) == "normal" else 0.0
    return usual + math.fsum(
        (_COST_WITH_ARCS if item.outline.has_arcs else 1.0) + item.quantity / _OUTLINES_PER_COST
        for batch, _ in _batches(items)
        for item in batch
    )


def effort_for(items: Sequence[Item]) -> str:
    """Return the effort with which pieces are laid out: ``normal`` or ``quick``."""
    few = len(items) <= _MAX_USUAL_KINDS and sum(item.quantity for item in items) <= _MAX_USUAL
    return "normal" if few and not any(item.outline.has_arcs for item in items) else "quick"


@lru_cache(maxsize=_REMEMBERED)
def roll_length(cuts: tuple[Cut, ...], fabric: Fabric, gap: float) -> float:
    """Return the length of roll that a layout of pieces takes, mm.

    A quick layout that takes more than strips cut by hand is done again with the usual effort, and
    is never longer than these strips.

    Raises:
        DoesNotFit: when a piece is wider than the fabric.
    """
    length = _laid_length(cuts, fabric, gap)
    if length > _by_hand(cuts, fabric) + 10.0**-_DECIMALS:
        again = _laid_length(cuts, fabric, gap, effort="normal")
        length = min(length, again, _strips_length(cuts, fabric, gap))
    return length


def _strips_length(cuts: Sequence[Cut], fabric: Fabric, gap: float) -> float:
    """Return the length of strips by hand as a layout, mm; infinite where there are none."""
    items = _items(cuts, fabric, ahead=_AHEAD)
    room = WorkArea.roll(0.0, 0.0, fabric.width)
    if sum(item.quantity for item in items) > _MAX_ON_ONE:
        return round(strips_length(items, room, gap), _DECIMALS)
    outlines = {item.piece: item.outline for item in items}
    lengths = [
        round(placement_bounds(load.placements, outlines).right, _DECIMALS)
        for (load,) in strip_layouts(items, room, gap, one_load=True)
    ]
    return min(lengths, default=math.inf)


def _laid_length(
    cuts: Sequence[Cut], fabric: Fabric, gap: float, *, effort: str | None = None
) -> float:
    room = WorkArea.roll(0.0, 0.0, fabric.width)
    lengths: list[float] = []
    for batch, repeats in _batches(_items(cuts, fabric, ahead=_AHEAD)):
        layout = lay_out(batch, room, gap=gap, effort=effort or effort_for(batch))
        lengths += [max(used.right for used in layout.used)] * repeats
    return round(math.fsum(lengths) + gap * (len(lengths) - 1), _DECIMALS)


def _by_hand(cuts: Sequence[Cut], fabric: Fabric) -> float:
    """Return the length of strips without a ruler's rounding, mm; infinite where there are none."""
    try:
        return yardage(cuts, replace(fabric, ruler_step=0.0)).length
    except GeometryError:
        return math.inf


@lru_cache(maxsize=_REMEMBERED)
def pre_cuts_laid(
    cuts: tuple[Cut, ...], width: float, length: float, fabric: Fabric, gap: float
) -> int:
    """Return how many pre-cut pieces of a size a layout of pieces takes.

    Raises:
        DoesNotFit: when a piece is larger than a pre-cut piece.
    """
    room = WorkArea.rectangle(0.0, 0.0, width, length)
    items = _items(cuts, fabric)
    layout = lay_out(items, room, gap=gap, effort=effort_for(items))
    return sum(load.repeats for load in layout.loads)


def _items(cuts: Sequence[Cut], fabric: Fabric, *, ahead: float = 0.0) -> list[Item]:
    items = []
    for index, cut in enumerate(cuts):
        turns = fabric.turns_deg(cut)
        allowed = "free" if turns is None else tuple((turn + ahead) % 360.0 for turn in turns)
        count = with_spoilage(cut.count, fabric.spoilage)
        items.append(Item(str(index), cut.cut_outline, count, turns=allowed))
    return items


def _batches(items: Sequence[Item]) -> Iterator[tuple[list[Item], int]]:
    """Yield what is laid together, with how many times: all at once where that is not too much."""
    if sum(item.quantity for item in items) <= _MAX_ON_ONE:
        yield list(items), 1
        return
    for item in items:
        times, rest = divmod(item.quantity, _ON_EACH_OF_MANY)
        for count, repeats in ((_ON_EACH_OF_MANY, times), (rest, 1)):
            if count and repeats:
                yield [replace(item, quantity=count)], repeats
