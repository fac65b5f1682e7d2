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

from geometry.layout.columns.column_cover import ColumnPatterns, Cover
from geometry.layout.columns.column_ways import ColumnWay, column_ways, natural_sizes
from geometry.layout.item import Filling, Item
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement
from geometry.model.transform import Rigid

#: Different remainders of the order, and columns times remainders, above which no lanes are sought.
_MAX_STATES: Final = 1_500
_MAX_COLUMNS: Final = 400_000
#: The same for columns of the whole width, which are but one search.
_MAX_STATES_WHOLE: Final = 60_000
_MAX_COLUMNS_WHOLE: Final = 10_000_000
_MAX_KINDS: Final = 3
#: Lengths that differ by less are the same, mm.
_SAME: Final = 1e-6

_Counts = tuple[int, ...]


@dataclass(frozen=True)
class _Stacks:
    """How one kind fills a column of a width: the height of 0, 1, 2 ... pieces and the way."""

    heights: Values
    ways: tuple[ColumnWay, ...]
    best: NDArray[np.int64]

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


class _Lanes:
    """The search for the shortest length of a roll."""

    def __init__(self, items: Sequence[Item], room: WorkArea, gap: float) -> None:
        self.items, self.gap = items, gap
        self.height = room.bounds.height + gap
        self.all = tuple(item.quantity for item in items)
        sizes = {round(each, 9) for item in items for each in natural_sizes(item, gap)}
        self.sizes = sorted(each for each in sizes if each <= self.height + SLACK)
        self.stacks = {
            width: [_Stacks.of(item, width, gap) for item in items] for width in self.sizes
        }
        self.columns = [
            (width, [each.heights for each in stacks]) for width, stacks in self.stacks.items()
        ]

    @property
    def states(self) -> int:
        """How many different remainders the order may have."""
        return math.prod(each + 1 for each in self.all)

    def cover(self, height: float, most: int = _MAX_COLUMNS) -> Cover | None:
        """Return the shortest columns of a height that hold 0, 1, 2 ... of each kind."""
        patterns = ColumnPatterns.of(self.columns, height)
        if not 0 < len(patterns.widths) * self.states <= most:
            return None
        return Cover(patterns, self.all, math.inf)

    def shortest(self, *, lanes: bool) -> tuple[float, list[tuple[int, Rigid]]] | None:
        """Return the least length found, a gap behind it, and the pieces by their kind."""
        whole = self.cover(self.height, _MAX_COLUMNS_WHOLE)
        if whole is None:
            return None
        nothing = tuple(0 for _ in self.all)
        best, how = float(whole.lengths[self.all]), (nothing, nothing, 0.0, whole, whole)
        for lane in self.sizes if lanes and self.states <= _MAX_STATES else ():
            if self.height - lane < self.sizes[0] - SLACK:
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
        rest = tuple(np.array(self.all) - first - second)
        return best, [*moves, *more, *self._placed(whole, rest, max(end, far), 0.0)[0]]

    def _beside(
        self, one: Cover, other: Cover, whole: Cover, best: float
    ) -> Iterator[tuple[_Counts, _Counts, float]]:
        """Yield what lies in each of two lanes, and ever less length of all."""
        lengths = one.lengths
        useful = np.isfinite(lengths)
        for axis in range(len(self.all)):
            # A lane that could hold one more on the same length is no better with less.
            more = np.full(lengths.shape, np.inf)
            here, ahead = ([slice(None)] * len(self.all) for _ in range(2))
            here[axis], ahead[axis] = slice(None, -1), slice(1, None)
            more[tuple(here)] = lengths[tuple(ahead)]
            useful &= more > lengths + _SAME
        for first in np.argwhere(useful)[1:].tolist():
            length = float(lengths[tuple(first)])
            if length >= best - _SAME:
                continue
            left = tuple(slice(each + 1) for each in (np.array(self.all) - first).tolist())
            total = np.maximum(length, other.lengths[left]) + np.flip(whole.lengths[left])
            least = float(total.min())
            if least < best - _SAME:
                best = least
                second = np.unravel_index(int(total.argmin()), total.shape)
                yield tuple(first), tuple(int(each) for each in second), best

    def _placed(
        self, cover: Cover, counts: Sequence[int], start: float, up: float
    ) -> tuple[list[tuple[int, Rigid]], float]:
        """Return numbers of pieces in their columns from a place on, and where these end."""
        found: list[tuple[int, Rigid]] = []
        for width, held in cover.columns(counts):
            top = up
            for kind, count in enumerate(held):
                stacks = self.stacks[width][kind]
                if count:
                    moves = stacks.ways[int(stacks.best[count])].moves(count)
                    found.extend((kind, each.shifted(start, top)) for each in moves)
                    top += float(stacks.heights[count])
            start += width
        return found, start


def in_lanes(items: Sequence[Item], room: WorkArea, gap: float, *, lanes: bool = True) -> Filling:
    """Return kinds in columns across a roll and lanes along it; nothing where there are too many.

    Of more pieces, or without ``lanes``, only columns of the whole width are sought. So few are no
    more work than a few row patterns, and take no steps.
    """
    states = math.prod(item.quantity + 1 for item in items)
    if not 1 < len(items) <= _MAX_KINDS or states > _MAX_STATES_WHOLE:
        return ()
    found = _Lanes(items, room, gap).shortest(lanes=lanes)
    if found is None:
        return ()
    box = room.bounds
    return tuple(
        Placement(items[kind].piece, Rigid(move.turn_deg, box.left + move.x, box.bottom + move.y))
        for kind, move in found[1]
    )
