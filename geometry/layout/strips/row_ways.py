"""Ways to lay rows of one kind on strips of a sheet, and the share of it that each takes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import chain
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from geometry.layout.item import Item, Turns
from geometry.layout.rows.counted_rows import LowestAcross, ShortestAlong
from geometry.layout.rows.measured_rows import alike
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_patterns import Patterns, frames, patterns_of, spread_patterns_of
from geometry.layout.rows.row_units import UnitShape
from geometry.layout.rows.stacks import Stack
from geometry.layout.sides import sizes_of
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline

#: Before refinement, rows may be higher than the strip by this factor.
HIGHER = 1.1
#: Rows are measured for so many times the pieces that are asked for: others are asked for next.
_MORE = 2


class RowWay(NamedTuple):
    """A pattern, the frame it is laid in, and whether its rows run along the strip."""

    stack: Stack
    upright: bool
    along: bool


@dataclass(frozen=True, eq=False)
class RowWays:
    """Ways to lay rows; compared by identity, so that what is measured of them can be kept."""

    ways: tuple[RowWay, ...]

    @cached_property
    def from_left(self) -> RowWays:
        """Those on strips from the left."""
        return RowWays(tuple(way for way in self.ways if way.along is not way.upright))

    @cached_property
    def from_below(self) -> RowWays:
        """Those on strips along the lower side."""
        return RowWays(tuple(way for way in self.ways if way.along is way.upright))


def row_ways(
    shape: UnitShape, item: Item, turns: tuple[float, ...], room: WorkArea, *, spread: bool
) -> RowWays:
    """Return every pattern and direction at some turns.

    ``spread`` says whether rows are also spread over the width they lie on.
    """
    sizes = tuple(map(tuple, sizes_of(room, (False, True)).tolist()))
    return _row_ways(shape, item.turns, turns, sizes if spread else None)


@lru_cache(maxsize=32)
def _row_ways(
    shape: UnitShape,
    allowed: Turns,
    turns: tuple[float, ...],
    sizes: tuple[tuple[float, ...], ...] | None,
) -> RowWays:
    """Return every pattern and direction; spread over the width of frames with such sizes."""
    item = Item("", shape.outline, 1, allowed)
    ways: list[RowWay] = []
    for turn in turns:
        for local, uprights in frames(item, turn):
            patterns = patterns_of(shape, item, local)
            for upright in uprights:
                both = [ways_of(patterns, upright=upright, along=each) for each in (True, False)]
                ways += chain.from_iterable(zip(*both, strict=True))
                if sizes is not None:
                    wide = spread_patterns_of(shape, item, local, sizes[upright][0])
                    ways += ways_of(wide, upright=upright, along=False)
    return RowWays(tuple(ways))


def ways_of(patterns: Patterns, *, upright: bool, along: bool) -> list[RowWay]:
    """Return ways to lay patterns."""
    return [RowWay(stack, upright, along) for stack in patterns.stacks]


def known_shares(ways: RowWays, room: WorkArea, count: int) -> Values:
    """Return the share of a room that so many pieces take; infinite where they do not go.

    What does not depend on the number is worked out once: a search asks for several numbers in
    every stage, and a studio cuts the same shape on the same bed for one quilt after another.
    """
    return _known(ways, room.boundary).of(count)


@lru_cache(maxsize=16)
def _known(ways: RowWays, boundary: Outline) -> _Shares:
    return _Shares(ways.ways, WorkArea(boundary), _MORE)


class _Shares:
    """The shares of a room that ways take, for any number of pieces."""

    def __init__(self, ways: Sequence[RowWay], room: WorkArea, more: int) -> None:
        self._number = len(ways)
        self._parts = list(_parts(ways, room, more))

    def of(self, count: int) -> Values:
        """Return the share that so many pieces take in each way."""
        shares = np.empty(self._number)
        for these, measured, whole in self._parts:
            shares[these] = measured.of(count) / whole
        return shares


def shares_of(ways: Sequence[RowWay], room: WorkArea, count: int) -> list[float]:
    """Return the share of a room that so many pieces take in each way; infinite where too many."""
    shares: list[float] = _Shares(ways, room, 1).of(count).tolist()
    return shares


def _parts(
    ways: Sequence[RowWay], room: WorkArea, more: int
) -> Iterator[tuple[NDArray[np.int64], ShortestAlong | LowestAcross, Values]]:
    """Yield ways that are measured together: numbers, what measures them, the room's sides."""
    for along in (True, False):
        here = np.array([at for at, way in enumerate(ways) if way.along is along], dtype=np.int64)
        stacks = tuple([ways[at].stack for at in here.tolist()])
        sizes = sizes_of(room, [ways[at].upright for at in here.tolist()])
        for rows, these in alike(stacks) if stacks else ():
            width, height = sizes[these].T
            if along:
                yield here[these], ShortestAlong(rows, height), width
            else:
                yield here[these], LowestAcross(rows, width, HIGHER * height, more), height
