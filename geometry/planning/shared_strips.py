"""Strips for all sizes of piece on one fabric: in which order, and which of them share strips."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from geometry.planning.strip_filling import (
    CutStrip,
    SizeToCut,
    filled,
    in_fresh_strips,
    strips_length,
)
from geometry.planning.strip_mix import StripKind, shortest_mix
from geometry.planning.ways import Way, order_of

#: Ways of one size that are tried for strips of its own, the shortest first.
_MAX_WAYS = 5
#: How often all strips are planned again with another way for one size, and how often without
#: rests for one: a plan of so many sizes takes time by their square. Own measurement: 200 sizes
#: take 2 to 3 s of a processor.
_MAX_TRIALS, _TRIALS_OF_ONE = 120, 20_000
#: Length that is worth a less plain way to cut, mm; and decimals of equal lengths.
_WORTH, _DECIMALS = 1e-6, 6


@dataclass(frozen=True)
class InStrips:
    """Pieces of one size, to be cut from strips.

    Args:
        count: of pieces.
        ways: to cut them, the one that takes the least fabric first; at least one.
    """

    count: int
    ways: tuple[Way, ...]


@dataclass(frozen=True)
class _Plan:
    """A plan of strips.

    Args:
        order: in which sizes are cut.
        choice: index of the way of each size's own strips; ``None``: two widths may be mixed.
        from_rests: whether each size is also cut from what others leave of higher strips.
    """

    order: tuple[int, ...]
    choice: tuple[int | None, ...]
    from_rests: tuple[bool, ...]

    def with_way(self, index: int, way: int | None) -> _Plan:
        """Return the plan with another way for the strips of one size."""
        return replace(self, choice=(*self.choice[:index], way, *self.choice[index + 1 :]))

    def without_rests(self, index: int) -> _Plan:
        """Return the plan without rests of higher strips for one size."""
        before, after = self.from_rests[:index], self.from_rests[index + 1 :]
        return replace(self, from_rests=(*before, False, *after))


def cut_strips(sizes: Sequence[InStrips], room: float) -> tuple[CutStrip, ...]:
    """Return the strips for all sizes that take the least fabric of those tried.

    The plainest has every size in strips of its own, all of one width, and in what others leave of
    strips as wide. Strips of two widths for a size, and rests of higher strips, are used where they
    save fabric.

    Args:
        sizes: of pieces; each fits in a strip.
        room: length of a strip, mm.
    """
    best = _in_turn(_alone(sizes, room), room)
    mixed = _in_turn(_alone(sizes, room, mixed=True), room)
    found = [mixed] if len(sizes) == 1 else [mixed, _by_trials(sizes, room)]
    for each in found:
        if strips_length(each) < strips_length(best) - _WORTH:
            best = each
    return tuple(best)


#: Strips of one size: its index, the way of each, their number, and the pieces in them.
_Own = tuple[int, Way, int, int]


def _alone(sizes: Sequence[InStrips], room: float, *, mixed: bool = False) -> list[_Own]:
    """Return the strips of each size as if there were no others."""
    return [
        (index, way, strips, count)
        for index, size in enumerate(sizes)
        for way, strips, count in _own_strips(size, size.count, None if mixed else 0, room)
    ]


def _in_turn(own: Sequence[_Own], room: float) -> list[CutStrip]:
    """Return the strips where sizes only use what longer pieces leave of strips as high."""
    found: list[CutStrip] = []
    turns = sorted(own, key=lambda each: -round(each[1].pattern.width, _DECIMALS))
    for step, (index, way, _, count) in enumerate(turns):
        wanted = SizeToCut(index, step, (way,), count)
        found, need = filled(found, wanted, same_height=True)
        if need:
            strips = -(-need // way.count(room))
            found += in_fresh_strips(replace(wanted, need=need), way, strips, room)
    return found


def _own_strips(
    size: InStrips, need: int, choice: int | None, room: float
) -> Iterator[tuple[Way, int, int]]:
    """Yield the ways of a size's own strips, how many strips and pieces; wide strips are full."""
    if choice is not None:
        way = size.ways[choice]
        yield way, -(-need // way.count(room)), need
        return
    best, _ = min(
        ((way, _length(way, need, room)) for way in size.ways),
        key=lambda each: (round(each[1], _DECIMALS), *order_of(each[0])),
    )
    # Only pieces out of rectangles: a ruler is set to one width, then to the other.
    boxes = [way for way in size.ways if way.pattern.is_box and way.shared is None]
    mix = shortest_mix(need, [StripKind(way.pattern.height, way.count(room)) for way in boxes])
    if mix is None or mix.length > _length(best, need, room) - _WORTH:
        yield best, -(-need // best.count(room)), need
        return
    both = ((boxes[mix.first], mix.firsts), (boxes[mix.second], mix.seconds))
    (wide, wides), (narrow, narrows) = sorted(both, key=lambda each: -each[0].pattern.height)
    held = wides * wide.count(room)
    yield wide, wides, held
    yield narrow, narrows, need - held


def _length(way: Way, need: int, room: float) -> float:
    return -(-need // way.count(room)) * way.pattern.height


def _by_trials(sizes: Sequence[InStrips], room: float) -> list[CutStrip]:
    """Return strips with rests of all heights used, after some trials of orders and ways."""
    trials = _Trials(sizes, room)
    extents: tuple[Callable[[Way], float], ...] = (
        lambda way: way.pattern.height,
        lambda way: way.pattern.width,
    )
    for extent in extents:
        order = _by(sizes, extent)
        trials.descend(_Plan(order, (None,) * len(sizes), (True,) * len(sizes)))
        trials.descend(_Plan(order, (0,) * len(sizes), (True,) * len(sizes)))
    return trials.plainest()


def _by(sizes: Sequence[InStrips], extent: Callable[[Way], float]) -> tuple[int, ...]:
    """Return the order of sizes, the largest first."""
    each = range(len(sizes))
    return tuple(sorted(each, key=lambda index: -round(extent(sizes[index].ways[0]), _DECIMALS)))


class _Trials:
    """Plans of strips that are tried, and the best of them."""

    def __init__(self, sizes: Sequence[InStrips], room: float) -> None:
        self._sizes, self._room = sizes, room
        self._best: tuple[float, _Plan | None] = float("inf"), None
        self._trials = min(_MAX_TRIALS, _TRIALS_OF_ONE // len(sizes) ** 2)
        self._left = self._trials

    def descend(self, plan: _Plan) -> None:
        """Try a plan, and then other ways for the strips of one size after the other."""
        length = self._measure(plan)
        for index in plan.order:
            for way in (None, *range(min(_MAX_WAYS, len(self._sizes[index].ways)))):
                if self._left <= 0:
                    return
                if way != plan.choice[index]:
                    self._left -= 1
                    other = plan.with_way(index, way)
                    if (found := self._measure(other)) < length - _WORTH:
                        plan, length = other, found

    def plainest(self) -> list[CutStrip]:
        """Return the strips of the best plan, without those rests that save nothing."""
        length, plan = self._best
        if plan is None:
            raise ValueError("nothing was tried")
        for index in plan.order[: self._trials]:
            plain = plan.without_rests(index)
            if strips_length(self._strips(plain)) <= length + _WORTH:
                plan = plain
        return self._strips(plan)

    def _measure(self, plan: _Plan) -> float:
        """Return the length of a plan, and keep it where it is the best."""
        length = strips_length(self._strips(plan))
        if length < self._best[0] - _WORTH:
            self._best = length, plan
        return length

    def _strips(self, plan: _Plan) -> list[CutStrip]:
        found: list[CutStrip] = []
        for step, index in enumerate(plan.order):
            size = self._sizes[index]
            wanted = SizeToCut(index, step, size.ways, size.count)
            found, need = filled(found, wanted, same_height=not plan.from_rests[index])
            for way, strips, count in _own_strips(size, need, plan.choice[index], self._room):
                if count:
                    alone = replace(wanted, need=count)
                    found += in_fresh_strips(alone, way, strips, self._room)
        return found
