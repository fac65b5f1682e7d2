"""Strips that several sizes of piece share: from what one leaves of a strip, the next is cut.

Source:
    Common practice, no source: strips are cut for the largest pieces first. What is left at their
    ends is a rectangle of cloth, from which strips for smaller pieces are cut, and long pieces of
    several lengths lie side by side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from geometry.planning.strips import fits
from geometry.planning.ways import Way, order_of

#: Decimals of mm to which strips are equally wide, and below which a rest is nothing.
_DECIMALS = 6
_NOTHING = 10.0**-_DECIMALS


@dataclass(frozen=True)
class StripPortion:
    """The pieces of one size side by side in a strip, mm.

    Attributes:
        index: of the size.
        step: the order in which sizes are cut: pieces of a later step come from rests of earlier
            ones.
        count: of pieces.
        way: how they are cut.
        start: where they begin along the strip.
        level: where they begin above the strip's lower edge.
        room: length of cloth that was left there.
    """

    index: int
    step: int
    count: int
    way: Way
    start: float
    level: float
    room: float


class Rest(NamedTuple):
    """A rectangle of a strip that is left, mm from its lower left corner."""

    left: float
    bottom: float
    width: float
    height: float


@dataclass(frozen=True)
class CutStrip:
    """Equal strips across the fabric, mm, the pieces that are cut from each, and what is left."""

    height: float
    repeats: int
    portions: tuple[StripPortion, ...]
    rests: tuple[Rest, ...]

    @property
    def is_shared(self) -> bool:
        """Return whether pieces of several sizes are cut from it, or in several ways."""
        return len(self.portions) > 1

    def is_as_high_as(self, way: Way) -> bool:
        """Return whether pieces that are cut one way take the whole height of the strip."""
        return _is_same(self.height, way.pattern.height)


@dataclass(frozen=True)
class SizeToCut:
    """Pieces of one size to be cut in a step: its index, the ways to cut it, how many."""

    index: int
    step: int
    ways: Sequence[Way]
    need: int


def strips_length(strips: Sequence[CutStrip]) -> float:
    """Return the length of fabric that strips take, mm."""
    return math.fsum(strip.height * strip.repeats for strip in strips)


def in_fresh_strips(wanted: SizeToCut, way: Way, strips: int, room: float) -> list[CutStrip]:
    """Return new strips of one way with pieces of a size; the last may be partly filled.

    Args:
        wanted: the pieces; no more than so many strips hold.
        way: how they are cut.
        strips: number of strips.
        room: length of a strip, mm.
    """
    fresh = CutStrip(way.pattern.height, strips, (), (Rest(0.0, 0.0, room, way.pattern.height),))
    return filled([fresh], replace(wanted, ways=(way,)), same_height=True)[0]


def filled(
    strips: Sequence[CutStrip], wanted: SizeToCut, *, same_height: bool
) -> tuple[list[CutStrip], int]:
    """Return strips with pieces of a size in what they have left, and how many are still to cut.

    Args:
        strips: with what is left of them.
        wanted: the pieces.
        same_height: whether only rests as high as the pieces' own strips are used, each strip in
            turn; else rests that hold the most come first, so that the fewest are cut up.
    """
    found: dict[int, list[CutStrip]] = {}
    order = list(range(len(strips)))
    if not same_height:
        order.sort(key=lambda at: -_most(strips[at], wanted))
    for at in order:
        found[at], need = _with(strips[at], wanted, same_height=same_height)
        wanted = replace(wanted, need=need)
    return [each for at in range(len(strips)) for each in found[at]], wanted.need


def _most(strip: CutStrip, wanted: SizeToCut) -> int:
    """Return the most needed pieces that one rest of a strip holds."""
    held = (_held(way, rest) for rest in strip.rests for way in wanted.ways)
    return min(wanted.need, max(held, default=0))


def _with(strip: CutStrip, wanted: SizeToCut, *, same_height: bool) -> tuple[list[CutStrip], int]:
    """Return equal strips with pieces in their rests, one rest after the other."""
    found: list[CutStrip] = []
    need = wanted.need
    waiting = [(strip, 0)]
    while waiting:
        each, at = waiting.pop()
        if need == 0 or at >= len(each.rests):
            found.append(each)
            continue
        rest = each.rests[at]
        best = _best(replace(wanted, need=need), rest, same_height=same_height)
        if best is None:
            waiting.append((each, at + 1))
            continue
        held = min(_held(best, rest), need)
        repeats = min(each.repeats, need // held)
        need -= repeats * held
        if repeats < each.repeats:
            waiting.append((replace(each, repeats=each.repeats - repeats), at))
        portions, rests = _cut(rest, best, wanted, held)
        waiting.append(
            (
                CutStrip(
                    each.height,
                    repeats,
                    (*each.portions, *portions),
                    (*each.rests[:at], *rests, *each.rests[at + 1 :]),
                ),
                at,
            )
        )
    return found, need


def _held(way: Way, rest: Rest) -> int:
    """Return how many pieces a rest holds in rows one above the other."""
    pattern = way.pattern
    if pattern.height > rest.height + _NOTHING or pattern.width > rest.width + _NOTHING:
        return 0
    return way.count(rest.width) * fits(rest.height, pattern.height)


def _best(wanted: SizeToCut, rest: Rest, *, same_height: bool) -> Way | None:
    """Return the way to cut the most of the needed pieces from a rest, from the least of it."""
    found: list[tuple[tuple[float, ...], Way]] = []
    for way in wanted.ways:
        is_same = _is_same(way.pattern.height, rest.height)
        if same_height and not is_same:
            continue
        if held := min(_held(way, rest), wanted.need):
            taken = -(-held // way.count(rest.width)) * way.pattern.height
            found.append(((-held, not is_same, round(taken, _DECIMALS), *order_of(way)), way))
    return min(found, key=lambda each: each[0])[1] if found else None


def _is_same(one: float, other: float) -> bool:
    return round(one, _DECIMALS) == round(other, _DECIMALS)


def _cut(
    rest: Rest, way: Way, wanted: SizeToCut, count: int
) -> tuple[list[StripPortion], list[Rest]]:
    """Return the rows of pieces that are cut from a rest, and what is left of it then.

    The rest is cut into whole rows first, so what is left beside full rows is one rectangle.
    """
    per_row, height = way.count(rest.width), way.pattern.height
    full, last = divmod(count, per_row)
    counts = [per_row] * full + ([last] if last else [])
    portions = [
        StripPortion(
            wanted.index,
            wanted.step,
            each,
            way,
            rest.left,
            rest.bottom + row * height,
            rest.width,
        )
        for row, each in enumerate(counts)
    ]
    rests = [
        _beside(rest, way.extent(each, rest.width), row * height, rows * height)
        for each, row, rows in ((per_row, 0, full), (last, full, 1))
        if each and rows
    ]
    used = len(counts) * height
    rests.append(Rest(rest.left, rest.bottom + used, rest.width, rest.height - used))
    return portions, [each for each in rests if min(each.width, each.height) > _NOTHING]


def _beside(rest: Rest, extent: float, above: float, height: float) -> Rest:
    return Rest(rest.left + extent, rest.bottom + above, rest.width - extent, height)
