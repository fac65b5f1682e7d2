"""All pairs of pieces of one convex outline in rectangles, and how deep they overlap."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from geometry.layout.fitting.holding_polygons import Coordinates, turned
from geometry.layout.fitting.near_pairs import (
    CORNERS_OUT,
    SECTORS,
    NearPairs,
    NearPairsInSectors,
    apart,
)
from geometry.layout.fitting.no_fit import no_fit
from geometry.layout.fitting.separating_lines import AT_CORNERS, Lines, lines_of
from geometry.model.outline import Outline

#: Pieces are parted by this much more than the gap, and may come this much nearer, mm.
_MORE, NEARER = 1.0e-4, 5.0e-5
#: Directions from a piece to another overlap by this, radians.
_OVERLAP = 1.0e-6
#: Lines of a no-fit polygon up to which all are looked at: it takes less time than to choose those
#: that matter in a direction. Own measurement.
_FEW_LINES = 16
#: Lines are left out where others lie farther in by this much, mm, and lengths are compared with as
#: much to spare: far more than rounding.
_CERTAIN = 1.0e-6


class PiecePairs:
    """All pairs of pieces: by their two turns, with the lines of one no-fit polygon for each.

    Pieces of several rectangles follow each other, as many of each; only those of one are paired.

    Attributes:
        rectangle: the number of the rectangle that each pair lies in.
    """

    def __init__(
        self, outline: Outline, turns: Sequence[float], gap: float, rectangles: int = 1
    ) -> None:
        kinds = sorted(set(turns))
        number = {turn: at for at, turn in enumerate(kinds)}
        kind_of = np.array([number[turn] for turn in turns])
        count = len(turns) // rectangles
        first, second = _pairs_of(count)
        start = np.arange(rectangles)[:, None] * count
        self.first, self.second = (start + first).ravel(), (start + second).ravel()
        self.rectangle = np.repeat(np.arange(rectangles), len(first))
        way = kind_of[self.first] * len(kinds) + kind_of[self.second]
        there = np.bincount(way, minlength=len(kinds) ** 2) > 0
        self._way = (there.cumsum() - 1)[way]
        self._facing = [
            _facing(outline, *(kinds[each] for each in divmod(way, len(kinds))), gap)
            for way in np.flatnonzero(there).tolist()
        ]
        sizes = np.array([(each.inner, each.outer, each.corner) for each in self._facing])
        self._inner, self._outer, self._corner = sizes.reshape(-1, 3)[self._way].T
        # Lines are left out for directions from the origin: not where it lies outside a polygon.
        self._few = max((len(each.all.reach) for each in self._facing), default=0) <= _FEW_LINES
        self._few = self._few and all(each.inner > 0.0 for each in self._facing)
        self._lines = _few_lines(self._facing) if self._few else _lines_in_sectors(self._facing)

    def near(
        self, places: Coordinates, slack: Coordinates, among: NDArray[np.int64] | None = None
    ) -> NDArray[np.int64]:
        """Return the numbers of the pairs that overlap or are nearer than each one's slack, mm.

        Args:
            places: of all pieces.
            slack: of each pair looked at.
            among: the numbers of those; ``None`` for all.
        """
        every = slice(None) if among is None else among
        far = np.hypot(*apart(places, self.first[every], self.second[every]))
        kept = (far < self._outer[every] + self._corner[every] * slack).nonzero()[0]
        numbers: NDArray[np.int64] = kept if among is None else among[kept]
        slack = slack[kept]
        near: NDArray[np.bool_] = far[kept] < self._inner[numbers] + slack - _CERTAIN
        # Of most pairs, how far apart the pieces lie says enough.
        rest = (~near).nonzero()[0]
        near[rest] = self._distance(places, numbers[rest]) < slack[rest]
        found: NDArray[np.int64] = numbers[near]
        return found

    def of(self, numbers: NDArray[np.int64]) -> NearPairs | NearPairsInSectors:
        """Return some of the pairs, ready to be asked many times how they overlap."""
        way, ends = self._way[numbers], np.stack([self.first[numbers], self.second[numbers]])
        if self._few:
            return NearPairs(numbers, ends, self._lines.take(way, axis=2))
        return NearPairsInSectors(numbers, ends, self._lines, way * SECTORS, self._outer[numbers])

    def deepest(self, places: Coordinates, rectangle: int = 0) -> float:
        """Return how deep the deepest overlap in a rectangle is, 0 where there is none."""
        here = np.flatnonzero(self.rectangle == rectangle)
        return float(self.of(here).overlaps(places).depth.max(initial=0.0))

    def _distance(self, places: Coordinates, at: NDArray[np.int64]) -> Coordinates:
        """Return how far apart some pairs lie, mm; negative where they overlap."""
        x, y = apart(places, self.first[at], self.second[at])
        if self._few:
            across, up, reach = self._lines.take(self._way[at], axis=2)
            outside = across * x
            outside += up * y
            outside -= reach
            farthest: Coordinates = np.maximum.reduce(outside, axis=0, initial=-np.inf)
            return farthest
        way, distance = self._way[at], np.empty(len(at))
        for number, facing in enumerate(self._facing):
            here = np.flatnonzero(way == number)
            if len(here):
                normals = facing.all.normals
                outside = normals[:, 0] * x[here, None]
                outside += normals[:, 1] * y[here, None]
                outside -= facing.all.reach
                distance[here] = outside.max(axis=1)
        return distance


@dataclass(frozen=True, eq=False)
class _Facing:
    """The lines of a convex no-fit polygon, and which of them matter in each direction.

    Attributes:
        all: every line.
        lines: a row of line numbers for each sector about the origin: out to the outermost corner,
            no other line is the farthest out of the places in the sector.
        inner: nearer the origin than this, mm, no line lies.
        outer: nor does a corner lie farther than this.
        corner: farther from the polygon than this many times a distance, a place is so far from
            one of the lines.
    """

    all: Lines
    lines: NDArray[np.int64]
    inner: float
    outer: float
    corner: float

    @cached_property
    def of_all(self) -> Coordinates:
        """Normals, x and y, and reaches of all lines.

        Shape:
            Three; lines.
        """
        return np.stack([*self.all.normals.T, self.all.reach])

    def of_sectors(self, most: int) -> Coordinates:
        """Return normals, x and y, and reaches of so many lines for each sector.

        Shape:
            Three; lines, the last one repeated where there are fewer; sectors.
        """
        lines = self.lines[:, np.minimum(np.arange(most), self.lines.shape[1] - 1)]
        return self.of_all[:, lines.T]


def _few_lines(every: Sequence[_Facing]) -> Coordinates:
    """Return all lines of polygons, for each one as many: three; lines; polygons."""
    most = max((each.of_all.shape[1] for each in every), default=1)
    lines = np.zeros((3, most, len(every)))
    for at, each in enumerate(every):
        count = each.of_all.shape[1]
        lines[:, :count, at], lines[:, count:, at] = each.of_all, each.of_all[:, -1:]
    return lines


def _lines_in_sectors(every: Sequence[_Facing]) -> Coordinates:
    """Return the lines of the sectors of polygons, for each as many: three; lines; sectors."""
    most = max(each.lines.shape[1] for each in every)
    return np.concatenate([each.of_sectors(most) for each in every], axis=2)


@lru_cache(maxsize=64)
def _pairs_of(count: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the numbers of all pairs of so many pieces."""
    first, second = np.triu_indices(count, 1)
    return first, second


@lru_cache(maxsize=1024)
def _facing(outline: Outline, first: float, second: float, gap: float) -> _Facing:
    """Return the lines of the no-fit polygon of an outline at two turns, degrees."""
    ring = no_fit(turned(outline, first), turned(outline, second), gap)
    found = lines_of(ring, NEARER, _MORE)
    normals, far = found.normals, found.radius + 2.0 * CORNERS_OUT
    starts = np.arange(SECTORS) * (math.tau / SECTORS) - _OVERLAP
    ends = starts + math.tau / SECTORS + 2.0 * _OVERLAP
    # The sides of each sector, so long that the chord between their ends holds all places.
    long = far / math.cos(math.pi / SECTORS + _OVERLAP)
    sides = [
        long * np.column_stack([np.cos(each), np.sin(each)]) @ normals.T for each in (starts, ends)
    ]
    outside = np.stack([np.zeros_like(sides[0]), *sides], axis=1) - found.reach
    # What is farther out at all three corners is so in all of the sector.
    best = np.concatenate([outside.argmax(axis=2), outside.sum(axis=1).argmax(axis=1)[:, None]], 1)
    farthest = np.take_along_axis(outside, best[:, None, :], axis=2)
    farther = outside[:, :, :, None] < farthest[:, :, None, :] - _CERTAIN
    needless = np.any(np.all(farther, axis=1), axis=2)
    lines = needless.argsort(axis=1, kind="stable")[:, : int((~needless).sum(axis=1).max())]
    cosine = float((normals * np.roll(normals, 1, axis=0)).sum(axis=1).min())
    corner = min(AT_CORNERS, 1.001 / math.sqrt(max(1e-9, (1.0 + cosine) / 2.0)))
    return _Facing(found, lines, float(found.reach.min()), found.radius, corner)
