"""Pairs of pieces of several kinds, of any shape: the lines that keep their convex parts apart.

A piece that is not convex is made up of convex parts. Two pieces keep clear of each other where
every part of one keeps clear of every part of the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from geometry.layout.fitting.holding_polygons import Coordinates, holding_polygon
from geometry.layout.fitting.no_fit import convex_parts, no_fit
from geometry.layout.fitting.separating_lines import Lines, Pairs, lines_of
from geometry.model.outline import Outline

#: Parts are kept apart by this much more than the gap, and may come this much nearer, mm.
MORE, NEARER = 2.0e-5, 1.0e-5
#: Edges of a no-fit polygon that are no longer come of rounding, mm.
_SHORTEST = 1.0e-9


def part_count(outlines: Sequence[Outline]) -> int:
    """Return how many convex parts outlines have together."""
    known = {each: len(convex_parts(holding_polygon(each))) for each in set(outlines)}
    return sum(known[each] for each in outlines)


@dataclass(frozen=True)
class _Boxes:
    """Pairs of boxes that belong to pieces: where the second may lie beside the first and meet it.

    Attributes:
        first: the numbers of the pieces.
        second: the same.
        low: least moves from the first piece's place to the second's at which the boxes meet.
        high: greatest ones.
    """

    first: NDArray[np.int64]
    second: NDArray[np.int64]
    low: Coordinates
    high: Coordinates

    def of(self, at: NDArray[np.int64]) -> _Boxes:
        """Return some of the pairs, by their numbers."""
        return _Boxes(self.first[at], self.second[at], self.low[at], self.high[at])

    def meeting(self, places: Coordinates, reach: float) -> NDArray[np.int64]:
        """Return the numbers of the pairs whose boxes are nearer than a reach, mm."""
        apart = places[self.second] - places[self.first]
        meet = (apart > self.low - reach) & (apart < self.high + reach)
        return np.flatnonzero(meet[:, 0] & meet[:, 1])


class PartPairs:
    """All pairs of parts of pieces that lie in one room.

    Args:
        outlines: each piece as it is turned, at its own origin.
        gap: least distance between pieces, mm.
    """

    def __init__(self, outlines: Sequence[Outline], gap: float) -> None:
        self._gap = gap
        self._parts: list[Coordinates] = []
        numbers: dict[Outline, range] = {}
        for each in outlines:
            if each not in numbers:
                parts = convex_parts(holding_polygon(each))
                numbers[each] = range(len(self._parts), len(self._parts) + len(parts))
                self._parts += parts
        counts = np.array([len(numbers[each]) for each in outlines])
        boxes = [each.bounds for each in outlines]
        low = np.array([(box.left, box.bottom) for box in boxes])
        high = np.array([(box.right, box.top) for box in boxes])
        first, second = np.triu_indices(len(outlines), 1)
        self._pieces = _Boxes(first, second, low[first] - high[second], high[first] - low[second])
        # All parts of the first piece of each pair with all parts of the second.
        self._count = counts[first] * counts[second]
        self._begin = np.cumsum(self._count) - self._count
        pair = np.repeat(np.arange(len(first)), self._count)
        within = np.arange(len(pair)) - self._begin[pair]
        start = np.array([numbers[each].start for each in outlines])
        one = start[first[pair]] + within // counts[second[pair]]
        other = start[second[pair]] + within % counts[second[pair]]
        low = np.array([each.min(axis=0) for each in self._parts])
        high = np.array([each.max(axis=0) for each in self._parts])
        self._boxes = _Boxes(
            first[pair], second[pair], low[one] - high[other], high[one] - low[other]
        )
        self._way = one * len(self._parts) + other
        # Lines are made for pairs that come near each other: most never do.
        self._row = np.full(len(self._parts) ** 2, -1)
        self._lines: list[Lines] = []
        self._normals, self._reach = np.zeros((0, 0, 2)), np.zeros((0, 0))

    @property
    def count(self) -> int:
        """The number of pairs of pieces."""
        return len(self._count)

    def near(self, places: Coordinates, slack: float) -> Pairs:
        """Return the pairs that overlap or are nearer than a slack, mm."""
        reach = self._gap + slack
        pieces = self._pieces.meeting(places, reach)
        counts = self._count[pieces]
        # The parts of each pair of pieces stand one behind the other.
        at = np.arange(counts.sum()) + np.repeat(
            self._begin[pieces] - np.cumsum(counts) + counts, counts
        )
        at = at[self._boxes.of(at).meeting(places, reach)]
        way = self._way[at]
        self._make_lines(np.unique(way[self._row[way] < 0]).tolist())
        row = self._row[way]
        pairs = Pairs(
            self._boxes.first[at],
            self._boxes.second[at],
            self._normals[row, :, 0],
            self._normals[row, :, 1],
            self._reach[row],
        )
        return pairs.of(np.flatnonzero(pairs.distance(places) < slack))

    def deepest(self, places: Coordinates) -> float:
        """Return how deep the deepest overlap is, mm; 0 where there is none."""
        return max(0.0, -float(self.near(places, 0.0).distance(places).min(initial=0.0)))

    def _make_lines(self, ways: list[int]) -> None:
        if not ways:
            return
        for way in ways:
            first, second = (self._parts[each] for each in divmod(way, len(self._parts)))
            ring = no_fit(_part(first.tobytes()), _part(second.tobytes()), self._gap)
            self._row[way] = len(self._lines)
            self._lines.append(lines_of(ring, _SHORTEST, MORE))
        most = max(len(each.reach) for each in self._lines)
        self._normals = np.zeros((len(self._lines), most, 2))
        self._reach = np.full((len(self._lines), most), np.inf)
        for at, each in enumerate(self._lines):
            self._normals[at, : len(each.reach)] = each.normals
            self._reach[at, : len(each.reach)] = each.reach


@lru_cache(maxsize=4096)
def _part(corners: bytes) -> Outline:
    return Outline.of([(x, y) for x, y in np.frombuffer(corners).reshape(-1, 2).tolist()])
