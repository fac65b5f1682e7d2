"""Two blocks of rows side by side, each turned and stacked in its own way.

Rows leave a piece's breadth over at their ends, and a row's height above the last. Some rows
beside some columns often leave less over along both sides of a rectangle.

Source:
    Guillotine cuts between blocks, as pallets of boxes are planned: H. Steudel, "Generating pallet
    loading patterns", Management Science 25 (1979). Here the blocks hold rows of any shape, and
    their sizes are chosen by dynamic programming over the number of pieces.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache, partial
from itertools import product, zip_longest

import numpy as np
from numpy.typing import NDArray

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.fit import fitting_turn
from geometry.layout.item import Filling, Item
from geometry.layout.objective import placement_bounds
from geometry.layout.rows.many_rows import ManyRows
from geometry.layout.rows.measured_rows import heights_across, lengths_along, most_held, of_each
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.rows.row_patterns import STEPS_PER_TURN, frames, patterns_of, turns_of
from geometry.layout.rows.row_strips import strip_across, strip_along
from geometry.layout.rows.row_units import UnitShape
from geometry.layout.rows.stacks import Stack
from geometry.layout.rows.staircases import side_by_side
from geometry.layout.sides import moved_into, size_of
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Placement, shifted

#: Pieces above which no blocks are made: edges matter ever less as loads hold more.
MAX_IN_BLOCKS = 400
#: Share of the densest pattern's pieces per mm2 that others must reach to be considered, and how
#: many are considered for each that is used.
_NEAR, _CONSIDERED = 0.9, 6
#: The lengths of blocks are measured for a multiple of so many pieces.
_COUNTS = 64
#: Steps for one pattern whose pieces are counted, and for one refined and measured, by whether the
#: outline is straight. Own measurement.
_STEPS_TO_COUNT = 0.15
STEPS_PER_PATTERN = {True: 3.0, False: 40.0}


@dataclass(frozen=True)
class BlockWay:
    """A pattern of rows in a frame, and whether its rows run along the strip that it fills."""

    stack: Stack
    upright: bool
    along: bool

    def block(self, item: Item, count: int, room: WorkArea) -> Filling:
        """Return so many pieces in a block of their own."""
        width, height = size_of(room, upright=self.upright)
        figures = self.stack.figures
        if self.along:
            strip = strip_along(figures, count, height)
        else:
            strip = strip_across(figures, count, width, height)
        moves = () if strip is None else strip.moves()
        return tuple(
            Placement(item.piece, moved_into(move, room, upright=self.upright)) for move in moves
        )


def lengths_of(ways: Sequence[BlockWay], rooms: Sequence[WorkArea], most: int) -> Values:
    """Return of each way the least length of strip for every number of pieces in a room.

    Shape:
        A line for each way, one entry for 0, 1, 2 ... pieces, up to ``most``.
    """
    found: dict[int, Values] = {}
    for along in (True, False):
        here = [at for at, way in enumerate(ways) if way.along is along]
        if here:
            sizes = np.array([size_of(rooms[at], upright=ways[at].upright) for at in here])
            measured = partial(_staircases, most=most, sizes=sizes, along=along)
            found |= zip(here, of_each([ways[at].stack for at in here], measured), strict=True)
    return np.array([found[at] for at in range(len(ways))]).reshape(len(ways), most + 1)


def _staircases(
    rows: ManyRows, these: NDArray[np.int64], *, most: int, sizes: Values, along: bool
) -> Values:
    width, height = sizes[these].T
    return lengths_along(rows, most, height) if along else heights_across(rows, most, width, height)


class RowBlocks:
    """The best pairs of blocks along one side of a rectangle, for every number of pieces.

    Attributes:
        from_left: whether the blocks follow each other from the left, or from below.
        lengths: how much of the side both take, for 0, 1, 2 ... pieces.
        singly: how much of it one block takes, with a line for each way.
    """

    def __init__(
        self,
        item: Item,
        room: WorkArea,
        ways: Sequence[BlockWay],
        most: int,
        gap: float,
        singly: Values | None = None,
    ) -> None:
        self.item, self.room, self.gap, self.ways = item, room, gap, ways
        self.from_left = ways[0].along is not ways[0].upright
        if singly is None:
            singly = lengths_of(ways, [room] * len(ways), most)
        self.singly: Values = singly
        self._single = singly.min(axis=0)
        self.lengths, self._first = side_by_side(self._single, gap)

    @cached_property
    def _way(self) -> NDArray[np.int64]:
        """The first of the ways in which each number of pieces takes least."""
        way: NDArray[np.int64] = np.round(self.singly, 6).argmin(axis=0)
        return way

    @property
    def side(self) -> float:
        """The length of the rectangle's side, mm."""
        return self.room.bounds.width if self.from_left else self.room.bounds.height

    @property
    def fullest(self) -> int:
        """The most pieces that two blocks hold."""
        return int(np.flatnonzero(self.lengths <= self.side + SLACK)[-1])

    def filling(self, count: int) -> Filling:
        """Return so many pieces in two blocks."""
        first = int(self._first[count])
        found: list[Placement] = []
        start = 0.0
        for number in (first, count - first):
            if number:
                way = self.ways[int(self._way[number])]
                found.extend(self._moved(way.block(self.item, number, self.room), start))
                start += float(self._single[number]) + self.gap
        return tuple(found)

    def on(self, rooms: Sequence[WorkArea], most: int) -> Values:
        """Return how much of the same side of other rectangles one block of each way takes.

        Shape:
            Rectangles, ways, and one entry for 0, 1, 2 ... pieces; infinite where too many.
        """
        ways = [*self.ways] * len(rooms)
        singly = lengths_of(ways, [room for room in rooms for _ in self.ways], most)
        return singly.reshape(len(rooms), len(self.ways), most + 1)

    def _moved(self, block: Filling, start: float) -> Filling:
        """Return a block moved so far from the rectangle's left or lower side."""
        used = placement_bounds(block, {self.item.piece: self.item.outline})
        whole = self.room.bounds
        dx = whole.left - used.left + start if self.from_left else 0.0
        dy = 0.0 if self.from_left else whole.bottom - used.bottom + start
        return shifted(block, dx, dy)


def row_blocks(
    item: Item,
    room: WorkArea,
    most: int,
    *,
    gap: float,
    effort: Effort,
    budget: Budget,
    more: Sequence[tuple[Stack, bool]] = (),
) -> list[RowBlocks]:
    """Return the pairs of blocks of up to so many pieces, along both sides of a rectangle.

    ``more`` are refined patterns beside the densest ones, and whether they stand upright.

    Raises:
        DoesNotFit: when not even one piece fits.
        SearchEnded: when the budget is spent.
    """
    shape, turns = turns_of(item, fitting_turn(item, room), gap, effort)
    sizes = (size_of(room, upright=False), size_of(room, upright=True))
    share = 1.0 if shape.exact else _FEWER
    kept, turns = math.ceil(share * effort.blocks), turns[: math.ceil(share * len(turns))]
    budget.spend(STEPS_PER_TURN[shape.exact] * len(turns) + _STEPS_TO_COUNT * _CONSIDERED * kept)
    budget.spend(2 * kept * STEPS_PER_PATTERN[shape.exact])
    chosen = (*_patterns(shape, replace(item, quantity=1), turns, sizes, kept), *more)
    if not chosen:
        return []
    # Blocks of fewer pieces are asked for as well, in every stage and by the next order.
    enough = _COUNTS * math.ceil(most / _COUNTS)
    left, below, lengths = _measured(chosen, room.boundary, enough)
    singly = lengths[:, : most + 1]
    return [
        RowBlocks(item, room, left, most, gap, singly[: len(left)]),
        RowBlocks(item, room, below, most, gap, singly[len(left) :]),
    ]


@lru_cache(maxsize=16)
def _measured(
    chosen: tuple[tuple[Stack, bool], ...], boundary: Outline, most: int
) -> tuple[list[BlockWay], list[BlockWay], Values]:
    """Return ways of blocks from the left and from below, and the lengths of both."""
    left, below = (
        [BlockWay(stack, upright, upright is not from_left) for stack, upright in chosen]
        for from_left in (True, False)
    )
    lengths = lengths_of([*left, *below], [WorkArea(boundary)] * 2 * len(chosen), most)
    lengths.setflags(write=False)
    return left, below, lengths


@lru_cache(maxsize=64)
def _patterns(
    shape: UnitShape,
    item: Item,
    turns: tuple[float, ...],
    sizes: tuple[tuple[float, float], ...],
    kept: int,
) -> tuple[tuple[Stack, bool], ...]:
    """Return the densest patterns, of equally dense ones those that fill the frame best.

    ``sizes`` are the frame's, lying and upright.
    """
    stacks: list[tuple[float, Stack, bool]] = []
    for turn in turns:
        for local, uprights in frames(item, turn):
            of_turn = patterns_of(shape, item, local).stacks
            stacks.extend(product((local,), of_turn, uprights))
    frames_of = [
        (upright, size, _considered([each[:2] for each in stacks if each[2] is upright], kept))
        for upright, size in zip((False, True), sizes, strict=True)
    ]
    # Those of both frames are counted together.
    held = iter(
        most_held(
            [stack for _, _, these in frames_of for _, _, stack in these],
            [size for _, size, these in frames_of for _ in these],
        )
    )
    found: list[list[tuple[Stack, bool]]] = []
    for upright, _, these in frames_of:
        counted = [(-next(held), *each) for each in these]
        counted.sort(key=lambda each: each[:2])
        fine = [stack.refined for stack in _varied(counted, kept)]
        found.append([(stack, upright) for stack in fine if stack is not None])
    # Of both frames in turn, so that who looks at the first few sees both.
    return tuple(each for both in zip_longest(*found) for each in both if each is not None)


def _considered(here: list[tuple[float, Stack]], kept: int) -> list[tuple[int, float, Stack]]:
    """Return the densest of patterns with their numbers, and the first of every other turn."""
    here = sorted(here, key=lambda each: -round(each[1].density, 9))
    near = [each for each in here if each[1].density >= _NEAR * here[0][1].density]
    return [
        (number, turn, stack)
        for number, (turn, stack) in enumerate(near)
        if number < _CONSIDERED * kept or all(turn != before for before, _ in near[:number])
    ]


def _varied(ordered: Sequence[tuple[int, int, float, Stack]], kept: int) -> list[Stack]:
    """Return the first patterns, and the first of as many other turns: blocks need both."""
    chosen, turns = (
        [stack for *_, stack in ordered[:kept]],
        {turn for _, _, turn, _ in ordered[:kept]},
    )
    for _, _, turn, stack in ordered[kept:]:
        if turn not in turns and len(chosen) < 2 * kept:
            turns.add(turn)
            chosen.append(stack)
    return chosen


#: Part of the turns and patterns for outlines with arcs: they take ten times as long.
_FEWER = 0.4
