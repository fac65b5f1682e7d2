"""What a longer search adds: one more piece on a full load, one load fewer for a mixture."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from geometry.layout.free import Placed
from geometry.layout.item import Item
from geometry.layout.nester import available, nested
from geometry.model.cutter import WorkArea

#: Seconds for one question to the nester, and how many are asked.
_SECONDS = 8
_QUESTIONS = 3
#: Pieces above which it is not asked: it cannot settle so many in that time.
_MOST = 80
_MOST_ON_ROLL = 200


def one_more(
    item: Item,
    count: int,
    limit: int,
    room: WorkArea,
    *,
    gap: float,
    seed: int,
    out_of_time: Callable[[], bool] | None,
) -> list[Placed] | None:
    """Return more pieces of one kind than ``count`` on a rectangle, or ``None``."""
    best: list[Placed] | None = None
    if not room.is_rectangle or not available():
        return None
    for _ in range(_QUESTIONS):
        if count >= min(limit, _MOST) or (out_of_time is not None and out_of_time()):
            break
        wanted = {item.piece: count + 1}
        found = nested([item], wanted, room, gap=gap, seconds=_SECONDS, seed=seed)
        if found is None:
            break
        best, count = found, count + 1
    return best


def all_on_one(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    *,
    gap: float,
    seed: int,
    out_of_time: Callable[[], bool] | None,
) -> list[Placed] | None:
    """Return one load with all that is wanted, or ``None`` when none was found."""
    if not room.is_rectangle or not available() or sum(wanted.values()) > _MOST:
        return None
    if out_of_time is not None and out_of_time():
        return None
    return nested(items, wanted, room, gap=gap, seconds=_SECONDS, seed=seed)


def shortest(
    items: Sequence[Item], room: WorkArea, *, gap: float, seed: int
) -> list[Placed] | None:
    """Return all items on a roll as the nester lays them, or ``None`` where it is not asked."""
    wanted = {item.piece: item.quantity for item in items}
    if not available() or sum(wanted.values()) > _MOST_ON_ROLL:
        return None
    return nested(items, wanted, room, gap=gap, seconds=_SECONDS * _QUESTIONS, seed=seed)
