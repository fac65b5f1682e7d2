"""Strips for all sizes of piece on one fabric: in which order, and which of them share strips."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
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
        sparing: whether each size only takes from rests what its own strips do not hold.
    """

    order: tuple[int, ...]
    choice: tuple[int | None, ...]
    from_rests: tuple[bool, ...]
    sparing: tuple[bool, ...]

    def with_way(self, index: int, way: int | None) -> _Plan:
        """Return the plan with another way for the strips of one size."""
        return replace(self, choice=(*self.choice[:index], way, *self.choice[index + 1 :]))

    def without_rests(self, index: int) -> _Plan:
        """Return the plan without rests of higher strips for one size."""
        before, after = self.from_rests[:index], self.from_rests[index + 1 :]
        return replace(self, from_rests=(*before, False, *after))

    def sparing_rests(self, index: int) -> _Plan:
        """Return the plan with no more from rests for one size than saves a strip."""
        before, after = self.sparing[:index], self.sparing[index + 1 :]
        return replace(self, sparing=(*before, True, *after))


def cut_strips(sizes: Sequence[InStrips], room: float) -> tuple[CutStrip, ...]:
    """Return the strips for all sizes that take the least fabric of those tried.

    The plainest has every size in strips of its own, all of one width, and in what others leave of
    strips as wide. Strips of two widths for a size, and rests of higher strips, are used where they
    save fabric.

    Args:
        sizes: of pieces; each fits in a strip.
        room: length of a strip, mm.
    """
    best = _plain_in_turn(_alone(sizes, room), room)
    mixed = _plain_in_turn(_alone(sizes, room, mixed=True), room)
    found = [mixed] if len(sizes) == 1 else [mixed, _by_trials(sizes, room)]
    for each in found:
        if strips_length(each) < strips_length(best) - _WORTH:
            best = each
    return tuple(best)


#: Strips of one size: its index, the way of each, their number, and the pieces in them.
_Own = tuple[int, Way, int, int]
#: The same for a size that is known.
_Fresh = tuple[Way, int, int]


def _alone(sizes: Sequence[InStrips], room: float, *, mixed: bool = False) -> list[_Own]:
    """Return the strips of each size as if there were no others."""
    return [
        (index, way, strips, count)
        for index, size in enumerate(sizes)
        for way, strips, count in _own_strips(size, size.count, None if mixed else 0, room)
    ]


def _plain_in_turn(own: Sequence[_Own], room: float) -> list[CutStrip]:
    """Return the strips in turn, with no more from the ends of others than saves fabric."""
    sparing: frozenset[int] = frozenset()
    best = _in_turn(own, room, sparing)
    most = strips_length(best) + _WORTH
    for step in range(min(len(own), _TRIALS_OF_ONE // len(own) ** 2)):
        found = _in_turn(own, room, sparing | {step})
        if strips_length(found) <= most and _cut_further(found) < _cut_further(best):
            best, sparing = found, sparing | {step}
    return best


def _cut_further(strips: Sequence[CutStrip]) -> int:
    """Return how often a strip is cut further for other pieces."""
    return sum(each.repeats * (len(each.portions) - 1) for each in strips)


def _in_turn(own: Sequence[_Own], room: float, sparing: Collection[int]) -> list[CutStrip]:
    """Return the strips where sizes only use what longer pieces leave of strips as high."""
    found: list[CutStrip] = []
    turns = sorted(own, key=lambda each: -round(each[1].pattern.width, _DECIMALS))
    for step, (index, way, _, count) in enumerate(turns):
        wanted = SizeToCut(index, step, (way,), count)
        before = found
        found, need = filled(before, wanted, same_height=True)
        fresh = [(way, -(-need // way.count(room)), need)]
        if step in sparing:
            found, fresh = _spared(before, found, wanted, fresh, room, same_height=True)
        found += _fresh(wanted, fresh, room)
    return found


def _fresh(wanted: SizeToCut, fresh: Sequence[_Fresh], room: float) -> list[CutStrip]:
    """Return a size's own strips."""
    return [
        strip
        for way, strips, count in fresh
        if count
        for strip in in_fresh_strips(replace(wanted, need=count), way, strips, room)
    ]


def _spared(
    before: list[CutStrip],
    found: list[CutStrip],
    wanted: SizeToCut,
    fresh: list[_Fresh],
    room: float,
    *,
    same_height: bool,
) -> tuple[list[CutStrip], list[_Fresh]]:
    """Return strips where only those pieces come from rests that as many own strips do not hold.

    Args:
        before: strips that others begin.
        found: the same with all pieces in their rests that these hold.
        wanted: the pieces.
        fresh: the strips for those that are left then; wide strips are full, the last may not be.
        room: length of a strip, mm.
        same_height: whether only rests as high as the pieces' own strips are used.
    """
    held = sum(strips * way.count(room) for way, strips, _ in fresh)
    in_fresh = sum(count for *_, count in fresh)
    rest = max(0, wanted.need - held)
    if not in_fresh or rest >= wanted.need - in_fresh:
        return found, fresh
    fewer, left = filled(before, replace(wanted, need=rest), same_height=same_height)
    if left:
        return found, fresh
    *full, (way, strips, count) = fresh
    return fewer, [*full, (way, strips, count + wanted.need - rest - in_fresh)]


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
    every, none = (True,) * len(sizes), (False,) * len(sizes)
    extents: tuple[Callable[[Way], float], ...] = (
        lambda way: way.pattern.height,
        lambda way: way.pattern.width,
    )
    for extent in extents:
        order = _by(sizes, extent)
        trials.descend(_Plan(order, (None,) * len(sizes), every, none))
        trials.descend(_Plan(order, (0,) * len(sizes), every, none))
    order = _by(sizes, extents[0])
    for index, way in _in_pairs(sizes):
        # Strips for pairs are higher than all others: they are cut first.
        first = (index, *(each for each in order if each != index))
        trials.descend(_Plan(first, (0,) * len(sizes), every, none).with_way(index, way))
    return trials.plainest()


def _in_pairs(sizes: Sequence[InStrips]) -> Iterator[tuple[int, int]]:
    """Yield the sizes of which two may lie end to end, and the index of that way."""
    for index, size in enumerate(sizes):
        yield from ((index, at) for at, way in enumerate(size.ways) if way.is_end_to_end)


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
        found = self._strips(plan)
        for index in plan.order[: self._trials]:
            sparing = self._strips(plan.sparing_rests(index))
            is_short = strips_length(sparing) <= length + _WORTH
            if is_short and _cut_further(sparing) < _cut_further(found):
                plan, found = plan.sparing_rests(index), sparing
        return found

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
            before, same_height = found, not plan.from_rests[index]
            found, need = filled(before, wanted, same_height=same_height)
            fresh = list(_own_strips(size, need, plan.choice[index], self._room))
            if plan.sparing[index]:
                found, fresh = _spared(
                    before, found, wanted, fresh, self._room, same_height=same_height
                )
            found += _fresh(wanted, fresh, self._room)
        return found
