"""A few pieces of several kinds on a roll: columns across it, and lanes side by side along it.

As by hand: a first length of the roll is parted into two lanes, each filled by columns, and columns
of the whole width follow. A column holds a stack of every kind, as many of each as go on its
height. Which columns follow each other, and what lies in which lane, is chosen exactly.

Source:
    Strips first and then pieces in them: P. C. Gilmore and R. E. Gomory, "Multistage cutting stock
    problems of two and more dimensions", Operations Research 13 (1965). From memory. Here by
    dynamic programming over the numbers of pieces that are left of each kind.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.layout.column_ways import ColumnWay, column_ways, natural_sizes
from geometry.layout.item import Filling, Item
from geometry.layout.row_figures import Values
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement
from geometry.model.transform import Rigid
from geometry.tolerance import LAYOUT_ACCURACY

#: Different remainders of the order, and columns times remainders, above which nothing is sought.
_MAX_STATES: Final = 1_500
_MAX_COLUMNS: Final = 400_000
_MAX_KINDS: Final = 3
#: Heights may be larger by so much from rounding, and lengths that differ by less are the same, mm.
_SLACK: Final = LAYOUT_ACCURACY / 4.0
_SAME: Final = 1e-6

_Ints = NDArray[np.int64]


@dataclass(frozen=True)
class _Stacks:
    """How one kind fills a column of a width: the height of 0, 1, 2 ... pieces and the way."""

    heights: Values
    ways: tuple[ColumnWay, ...]
    best: _Ints

    @classmethod
    def of(cls, item: Item, width: float, gap: float) -> _Stacks:
        counts = np.arange(1, item.quantity + 1)
        ways = tuple(column_ways(item, width, gap))
        heights = np.full(item.quantity + 1, np.inf)
        heights[0] = 0.0
        best = np.zeros(item.quantity + 1, dtype=np.int64)
        if ways:
            found = np.array([way.heights(counts) for way in ways])
            best[1:] = np.round(found, 7).argmin(axis=0)
            heights[1:] = found[best[1:], counts - 1]
        return cls(heights, ways, best)


@dataclass(frozen=True)
class _Cover:
    """The least length of a lane that holds 0, 1, 2 ... of each kind, and its columns.

    Attributes:
        lengths: by the state, a number of pieces of each kind.
        widths: of the columns.
        holds: pieces of each kind in each column.
        after: the state that is left when a state gets a column.
        chosen: the column that a state gets.
    """

    lengths: Values
    widths: Values
    holds: _Ints
    after: _Ints
    chosen: _Ints


class _Lanes:
    """The search for the shortest length of a roll."""

    def __init__(self, items: Sequence[Item], room: WorkArea, gap: float) -> None:
        self.items, self.gap = items, gap
        self.height = room.bounds.height + gap
        self.shape = tuple(item.quantity + 1 for item in items)
        self.states = np.array(list(np.ndindex(*self.shape)))
        self.strides = np.array([math.prod(self.shape[at + 1 :]) for at in range(len(items))])
        self.stacks: dict[tuple[int, float], _Stacks] = {}
        sizes = {round(each, 9) for item in items for each in natural_sizes(item, gap)}
        self.sizes = sorted(each for each in sizes if each <= self.height + _SLACK)

    def stacks_of(self, kind: int, width: float) -> _Stacks:
        key = (kind, width)
        if key not in self.stacks:
            self.stacks[key] = _Stacks.of(self.items[kind], width, self.gap)
        return self.stacks[key]

    def columns(self, height: float) -> tuple[Values, _Ints]:
        """Return the widths of columns of a height, and how many of each kind each holds.

        None holds less of every kind than another one that is no wider.
        """
        widths: list[float] = []
        holds: list[tuple[int, ...]] = []
        for width in self.sizes:
            heights = [self.stacks_of(kind, width).heights for kind in range(len(self.items))]
            found = [held for held in _held(heights, height + _SLACK) if any(held)]
            holds += found
            widths += [width] * len(found)
        kept: list[int] = []
        counts = np.array(holds, dtype=np.int64).reshape(-1, len(self.items))
        for at in sorted(range(len(holds)), key=lambda at: (widths[at], -sum(holds[at]))):
            if not kept or not (counts[kept] >= counts[at]).all(axis=1).any():
                kept.append(at)
        return np.array([widths[at] for at in kept]), counts[kept]

    def cover(self, height: float) -> _Cover | None:
        """Return the shortest columns of a height that hold 0, 1, 2 ... of each kind."""
        widths, holds = self.columns(height)
        if not len(widths) or len(widths) * len(self.states) > _MAX_COLUMNS:
            return None
        left = np.maximum(self.states[None, :, :] - holds[:, None, :], 0)
        after = left @ self.strides
        # Nothing is left to a column that holds nothing of a state.
        helps = after != np.arange(len(self.states))
        lengths = np.full(len(self.states), np.inf)
        lengths[0] = 0.0
        while True:
            found = np.where(helps, lengths[after] + widths[:, None], np.inf)
            shorter = np.minimum(found.min(axis=0), lengths)
            if np.array_equal(shorter, lengths):
                break
            lengths = shorter
        return _Cover(lengths, widths, holds, after, np.round(found, 7).argmin(axis=0))

    def shortest(self) -> tuple[float, list[tuple[int, Rigid]]] | None:
        """Return the least length found, a gap behind it, and the pieces by their kind."""
        whole = self.cover(self.height)
        last = len(self.states) - 1
        if whole is None:
            return None
        best, how = float(whole.lengths[last]), (0, 0, 0.0, whole, whole)
        for lane in self.sizes:
            if self.height - lane < self.sizes[0] - _SLACK:
                continue
            one, other = self.cover(lane), self.cover(self.height - lane)
            if one is None or other is None:
                continue
            for first, second, length in self._beside(one, other, whole, best):
                best, how = length, (first, second, lane, one, other)
        if not math.isfinite(best):
            return None
        first, second, lane, one, other = how
        moves, end = self._placed(one, first, 0.0, 0.0)
        more, far = self._placed(other, second, 0.0, lane)
        rest = last - first - second
        return best, [*moves, *more, *self._placed(whole, rest, max(end, far), 0.0)[0]]

    def _beside(
        self, one: _Cover, other: _Cover, whole: _Cover, best: float
    ) -> Iterator[tuple[int, int, float]]:
        """Yield what lies in two lanes, state and state, and ever less length of all."""
        lengths = one.lengths
        grid = lengths.reshape(self.shape)
        useful = np.isfinite(grid)
        for axis in range(len(self.shape)):
            # A lane that could hold one more on the same length is no better with less.
            more = np.full(self.shape, np.inf)
            more[tuple(slice(None, -1) if at == axis else slice(None) for at in _axes(self))] = (
                grid[tuple(slice(1, None) if at == axis else slice(None) for at in _axes(self))]
            )
            useful &= more > grid + _SAME
        full, there = np.array(self.shape) - 1, other.lengths.reshape(self.shape)
        behind = whole.lengths.reshape(self.shape)
        for state in np.flatnonzero(useful.ravel())[1:].tolist():
            if lengths[state] >= best - _SAME:
                continue
            here = tuple(slice(0, each + 1) for each in (full - self.states[state]).tolist())
            total = np.maximum(lengths[state], there[here]) + np.flip(behind[here])
            least = float(total.min())
            if least < best - _SAME:
                best = least
                second = np.unravel_index(int(total.argmin()), total.shape)
                yield state, int(np.array(second) @ self.strides), best

    def _placed(
        self, cover: _Cover, state: int, start: float, up: float
    ) -> tuple[list[tuple[int, Rigid]], float]:
        """Return the pieces of a state in their columns from a place on, and where these end."""
        found: list[tuple[int, Rigid]] = []
        while state:
            column = int(cover.chosen[state])
            after = int(cover.after[column, state])
            top = up
            for kind, count in enumerate((self.states[state] - self.states[after]).tolist()):
                if count:
                    stacks = self.stacks_of(kind, float(cover.widths[column]))
                    for move in stacks.ways[int(stacks.best[count])].moves(count):
                        placed = Rigid(move.turn_deg, move.x + start, move.y + top)
                        found.append((kind, placed))
                    top += float(stacks.heights[count])
            start += float(cover.widths[column])
            state = after
        return found, start


def _axes(lanes: _Lanes) -> range:
    return range(len(lanes.shape))


def _held(heights: Sequence[Values], height: float) -> Iterator[tuple[int, ...]]:
    """Yield numbers of pieces of each kind that go above each other, of the last as many as do."""
    first, *others = heights
    most = int(np.flatnonzero(first <= height)[-1])
    if not others:
        yield (most,)
        return
    for count in range(most + 1):
        for more in _held(others, height - float(first[count])):
            yield (count, *more)


def in_lanes(items: Sequence[Item], room: WorkArea, gap: float) -> Filling:
    """Return kinds in columns across a roll and lanes along it; nothing where there are too many.

    So few are no more work than a few row patterns, and take no steps.
    """
    states = math.prod(item.quantity + 1 for item in items)
    if not 1 < len(items) <= _MAX_KINDS or states > _MAX_STATES:
        return ()
    found = _Lanes(items, room, gap).shortest()
    if found is None:
        return ()
    box = room.bounds
    return tuple(
        Placement(items[kind].piece, Rigid(move.turn_deg, box.left + move.x, box.bottom + move.y))
        for kind, move in found[1]
    )
