"""What the nester adds to rows: more pieces on a full load, one load fewer for a mixture."""

from __future__ import annotations

import itertools
import math
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, Variant
from geometry.layout.fitting.holding_polygons import holding_polygon
from geometry.layout.item import Item
from geometry.layout.nesting.compressed import compressed
from geometry.layout.nesting.nester import length_of, nested
from geometry.layout.nesting.squeezed_roll import squeezed
from geometry.model.cutter import WorkArea

#: Pieces above which the nester is not asked: it cannot decide so many in that time.
_MAX_PIECES = 130
_MAX_ON_ROLL = 200
#: Share of the steps that the nester may take, and how many of the layouts that it ends with are
#: squeezed, which takes about half a second for each of 20 to 43 pieces. Own measurement.
_SHARE_OF_NESTER, _SQUEEZED = 0.9, 3
#: Pieces above which rows are left as they are: the nester does not come near them.
_MAX_IN_STRIP = 80
#: Pieces of all questions together after which no more is asked.
_MAX_ASKED = 250
#: The normal stage asks only where rows fill a room badly, below this share of the bound, and
#: where two pieces more are likely and soon decided: from so many on a load to so many. Where a
#: load holds fewer, rows must fill it worse.
_BADLY, _FEW = 0.82, 24
_VERY_BADLY, _VERY_FEW = 0.755, 12
_MANY = 50
#: Loads saved by one piece more on each from which the nester is asked in any case, and longer.
_MANY_LOADS = 3
#: Steps for a question where one piece more saves so many, in those of the effort.
_PATIENCE = 2.0
#: Outlines of more corners than this, of which one question takes ten times as long, and how
#: badly rows must fill a room with them.
_FEW_CORNERS = 24
_BADLY_ROUND = 0.65


def worth_asking(item: Item, count: int, limit: int, effort: Effort) -> bool:
    """Return whether the nester may be asked for a fuller load of one kind.

    Not where a fuller load would not save one, and in the normal stage only where rows fill
    the room badly.
    """
    if not effort.extra_pieces:
        return False
    more = count + effort.extra_pieces
    if more > min(limit, _MAX_PIECES):
        return False
    best = limit if effort.both_directions else more
    if math.ceil(item.quantity / best) == math.ceil(item.quantity / count):
        return False
    if effort.both_directions or saves_many(item, count):
        return True
    round_ = len(holding_polygon(item.outline)) > _FEW_CORNERS
    badly = _BADLY if count >= _FEW else _VERY_BADLY
    badly = _BADLY_ROUND if round_ else badly
    return _VERY_FEW <= count <= _MANY and count < badly * limit


def saves_many(item: Item, count: int) -> bool:
    """Return whether one piece more on a load saves so many loads that a search may take longer."""
    loads, fewer = (math.ceil(item.quantity / each) for each in (count, count + 1))
    return loads - fewer >= _MANY_LOADS


def fuller(
    item: Item,
    count: int,
    limit: int,
    room: WorkArea,
    *,
    gap: float,
    seed: int,
    effort: Effort,
    budget: Budget,
) -> Iterator[list[Placed]]:
    """Yield ever more pieces of one kind than ``count`` on a rectangle.

    Where much is at stake the normal stage has steps of its own for two pieces more, and again for
    one more: a load more takes longer than a longer search.
    """
    if not room.is_rectangle or budget.nester is None:
        return
    left = _MAX_ASKED
    is_longer = saves_many(item, count) and not effort.both_directions
    patience = _PATIENCE * effort.steps if is_longer else 0.0
    # More than is ordered saves nothing, and is harder to find.
    most = min(limit, item.quantity)
    most = min(most, _MAX_PIECES if effort.both_directions else _MANY + effort.extra_pieces)
    for more in range(effort.extra_pieces, 0, -1):
        # Where two pieces more are not found, one more may be.
        with budget.lent(patience) as own:
            while count + more <= most and left > 0:
                left -= count + more
                found = _asked([item], {item.piece: count + more}, room, gap, seed, effort, own)
                if found is None:
                    break
                count += more
                yield found
                if more < effort.extra_pieces:
                    return


def all_on_one(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    *,
    gap: float,
    seed: int,
    effort: Effort,
    budget: Budget,
) -> list[Placed] | None:
    """Return one load with all that is wanted, or ``None`` when none was found."""
    if not room.is_rectangle or budget.nester is None or sum(wanted.values()) > _MAX_PIECES:
        return None
    return _asked(items, wanted, room, gap, seed, effort, budget)


def shorter_strips(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    *,
    gap: float,
    seed: int,
    effort: Effort,
    budget: Budget,
) -> Iterator[list[Placed]]:
    """Yield loads with all that is wanted on strips along either side of a rectangle."""
    count = sum(wanted.values())
    kinds = sum(number > 0 for number in wanted.values())
    # Rows are hard to beat on a load of one kind: only `best` asks then, as it takes seconds.
    if not 0 < effort.nested_from <= kinds or not room.is_rectangle or budget.nester is None:
        return
    if not 0 < count <= _MAX_IN_STRIP:
        return
    # Which side suits the nester shows only afterwards: 5 octagons and 14 half squares take a tenth
    # less along the other one.
    thorough = replace(effort, both_directions=True)
    yield from _answers(items, wanted, room, gap, seed, thorough, budget, enough=0.0)


def shorter_lengths(
    items: Sequence[Item],
    room: WorkArea,
    *,
    gap: float,
    seed: int,
    effort: Effort,
    budget: Budget,
) -> Iterator[list[Placed]]:
    """Yield a few pieces of several kinds on less of a roll, as the nester soon lays them.

    Nothing where the effort asks it for longer, as ``shortest`` does.

    Raises:
        SearchEnded: when the budget is spent.
    """
    if budget.nester is None or effort.both_directions:
        return
    if not 0 < effort.nested_from <= len(items):
        return
    wanted = {item.piece: item.quantity for item in items}
    if sum(wanted.values()) > _MAX_IN_STRIP:
        return
    found = nested(
        items, wanted, room, gap=gap, failures=effort.failures, seed=seed + 1, budget=budget
    )
    if found is not None:
        yield found


def shortest(
    items: Sequence[Item], room: WorkArea, *, gap: float, seed: int, budget: Budget
) -> Iterator[list[Placed]]:
    """Yield all items on a roll as the nester lays them, then squeezed, until time is up.

    The nester searches as it does alone, in both of its phases. What it ends with is squeezed, and
    where it ended by itself another seed follows.

    Raises:
        SearchEnded: when the budget is spent.
    """
    if budget.nester is None or sum(item.quantity for item in items) > _MAX_ON_ROLL:
        return
    best: list[Placed] | None = None
    to_squeeze = (1.0 - _SHARE_OF_NESTER) * budget.left
    how: dict[str, Any] = {"gap": gap, "budget": budget}
    for number in itertools.count():
        newest: deque[list[Placed]] = deque(maxlen=_SQUEEZED)
        steps = budget.left - to_squeeze
        for placed in compressed(items, room, seed=seed + 1 + number, steps=steps, **how):
            newest.append(placed)
            if best is None or length_of(placed) < length_of(best):
                best = placed
                yield best
        if best is None or not newest:
            return
        for placed in reversed(newest):
            for found in squeezed(placed, room, seed=seed, **how):
                if length_of(found) < length_of(best):
                    best = found
                    yield best
        if budget.left <= to_squeeze:
            yield from squeezed(best, room, seed=seed + 1, stirred=True, **how)
            return


def _asked(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    gap: float,
    seed: int,
    effort: Effort,
    budget: Budget,
) -> list[Placed] | None:
    """Return the first load with all that is wanted, or ``None``."""
    return next(_answers(items, wanted, room, gap, seed, effort, budget), None)


def _answers(
    items: Sequence[Item],
    wanted: Mapping[str, int],
    room: WorkArea,
    gap: float,
    seed: int,
    effort: Effort,
    budget: Budget,
    enough: float | None = None,
) -> Iterator[list[Placed]]:
    """Ask for all that is wanted, along both sides and with several seeds; yield what is found."""
    for kinds, frame, back in frames(items, room, both=effort.both_directions):
        for number in range(effort.seeds):
            found = nested(
                kinds,
                wanted,
                frame,
                gap=gap,
                failures=effort.failures,
                seed=seed + 1 + number,
                budget=budget,
                enough=enough,
            )
            if found is not None:
                yield [back(each) for each in found]


Back = Callable[[Placed], Placed]


def frames(
    items: Sequence[Item], room: WorkArea, *, both: bool
) -> Iterator[tuple[list[Item], WorkArea, Back]]:
    """Yield the room as it is and laid on its side, with what brings a piece back from there."""
    yield list(items), room, lambda each: each
    if not both:
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
