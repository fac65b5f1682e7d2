"""What a longer search adds: more pieces on a full load, one load fewer for a mixture."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from geometry.layout.free import Placed, Variant
from geometry.layout.item import Item
from geometry.layout.nester import Nested, available, nested
from geometry.layout.polygons import holding_polygon
from geometry.model.cutter import WorkArea

Stop = Callable[[], bool] | None

#: Pieces above which the nester is not asked: it cannot settle so many in that time.
_MOST = 130
_MOST_ON_ROLL = 200
#: Pieces of all questions together after which no more is asked.
_MOST_ASKED = 250
#: Normal effort asks only where rows fill a room badly, below this share of the bound, and where
#: two pieces more are to be hoped for and settled soon: from so many on a load to so many. Where
#: a load holds fewer, rows must fill it worse.
_BADLY, _FEW = 0.82, 24
_VERY_BADLY, _VERY_FEW = 0.755, 12
_MANY = 50
#: Outlines of more corners than this, of which one question takes ten times as long, and how
#: badly rows must fill a room with them.
_FEW_CORNERS = 24
_BADLY_ROUND = 0.65


@dataclass(frozen=True)
class _Questions:
    """How the nester is asked at one effort.

    ``more`` pieces at a time; each question in both directions of the room where ``across``,
    with so many ``seeds``; each may fail so often.
    """

    more: int
    across: bool
    seeds: int
    failures: int


_EFFORTS = {
    "normal": _Questions(more=2, across=False, seeds=1, failures=1),
    "best": _Questions(more=1, across=True, seeds=2, failures=2),
}


def worth_asking(item: Item, count: int, limit: int, level: str) -> bool:
    """Tell whether the nester may be asked for a fuller load of one kind.

    Not where a fuller load would not save one, and at ``normal`` effort only where rows fill
    the room badly.
    """
    if level not in _EFFORTS:
        return False
    more = count + _EFFORTS[level].more
    if more > min(limit, _MOST):
        return False
    best = limit if level == "best" else more
    if math.ceil(item.quantity / best) == math.ceil(item.quantity / count):
        return False
    if level == "best":
        return True
    round_ = len(holding_polygon(item.outline)) > _FEW_CORNERS
    badly = _BADLY if count >= _FEW else _VERY_BADLY
    badly = _BADLY_ROUND if round_ else badly
    return _VERY_FEW <= count <= _MANY and count < badly * limit


def fuller(
    item: Item,
    count: int,
    limit: int,
    room: WorkArea,
    *,
    gap: float,
    seed: int,
    level: str,
    out_of_time: Stop,
) -> Nested:
    """Return more pieces of one kind than ``count`` on a rectangle, or none."""
    best = Nested(None)
    if not room.is_rectangle or not available():
        return best
    how, left = _EFFORTS[level], _MOST_ASKED
    most = min(limit, _MOST if level == "best" else _MANY + how.more)
    while count + how.more <= most and left > 0:
        left -= count + how.more
        wanted = {item.piece: count + how.more}
        found = _asked([item], wanted, room, gap, seed, how, out_of_time)
        if found.placed is None:
            return Nested(best.placed, found.complete)
        best, count = found, count + how.more
    return best


def all_on_one(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    *,
    gap: float,
    seed: int,
    level: str,
    out_of_time: Stop,
) -> Nested:
    """Return one load with all that is wanted, or none when none was found."""
    if not room.is_rectangle or not available() or sum(wanted.values()) > _MOST:
        return Nested(None)
    return _asked(items, wanted, room, gap, seed, _EFFORTS[level], out_of_time)


def shortest(
    items: Sequence[Item], room: WorkArea, *, gap: float, seed: int, out_of_time: Stop
) -> Nested:
    """Return all items on a roll as the nester lays them, or none where it is not asked."""
    wanted = {item.piece: item.quantity for item in items}
    if not available() or sum(wanted.values()) > _MOST_ON_ROLL:
        return Nested(None)
    return nested(items, wanted, room, gap=gap, seed=seed + 1, failures=3, out_of_time=out_of_time)


def _asked(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    gap: float,
    seed: int,
    how: _Questions,
    out_of_time: Stop,
) -> Nested:
    """Ask for all that is wanted, again and again in other words."""
    for words, frame, back in _frames(items, room, how):
        for lot in range(how.seeds):
            found = nested(
                words,
                wanted,
                frame,
                gap=gap,
                failures=how.failures,
                seed=seed + 1 + lot,
                out_of_time=out_of_time,
            )
            if found.placed is not None:
                return replace(found, placed=[back(each) for each in found.placed])
            if not found.complete:
                return found
    return Nested(None)


Back = Callable[[Placed], Placed]


def _frames(
    items: Sequence[Item], room: WorkArea, how: _Questions
) -> Iterator[tuple[list[Item], WorkArea, Back]]:
    """Yield the room as it is and laid on its side, with what brings a piece back from there."""
    yield list(items), room, lambda each: each
    if not how.across:
        return
    box = room.bounds
    turned = [
        replace(
            item,
            turns=item.turns
            if item.stated_turns_deg is None
            else tuple((turn + 90.0) % 360.0 for turn in item.stated_turns_deg),
        )
        for item in items
    ]

    def back(each: Placed) -> Placed:
        way = each.variant
        upright = Variant((way.turn_deg - 90.0) % 360.0, way.base, way.mirrored)
        return Placed(each.piece, upright, box.left + each.y, box.top - each.x)

    yield turned, WorkArea.rectangle(0.0, 0.0, box.height, box.width), back
