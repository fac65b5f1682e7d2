"""Chords of a bed: the intervals that it leaves on a level line, and what a row may put there.

A row at a phase holds most where some piece of it lies flush with the end of a chord, so only
those phases are tried.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.layout.fitting.holding_polygons import Coordinates
from geometry.layout.fitting.inner_fit import HAIR
from geometry.layout.rows.row_units import Unit

#: Share of a copy by which a chord may be short from rounding.
_ROUNDING = 1e-9

Values = NDArray[np.float64]
#: A piece of a row: the number of its member and where the member's copy of the unit begins.
Spot: TypeAlias = tuple[int, float]


@dataclass(frozen=True)
class Chords:
    """Where the origins of one row's unit may lie: intervals, one entry per member and chord."""

    member: NDArray[np.int64]
    start: Values
    end: Values

    def moved(self, dx: float) -> Chords:
        """Return the chords of a row that lies ``dx`` further along."""
        return Chords(self.member, self.start - dx, self.end - dx)

    def at_phase(self, phase: float, period: float) -> list[Spot]:
        """Return the pieces that copies at a phase hold."""
        first, last = _first(self.start, phase, period), _last(self.end, phase, period)
        return [
            (int(index), phase + copy * period)
            for index, low, high in zip(self.member, first, last, strict=True)
            for copy in range(int(low), int(high) + 1)
        ]

    def most(self, unit: Unit) -> int:
        """Return how many pieces of a unit a row by itself holds at most."""
        if len(unit.members) > 1:
            return best_phase(self.start, self.end, unit.period)[0]
        return sum(count for _, count in self._runs(unit.period))

    def fullest(self, unit: Unit) -> list[Spot]:
        """Return the most pieces of a unit that a row by itself holds."""
        if len(unit.members) > 1:
            return self.at_phase(best_phase(self.start, self.end, unit.period)[1], unit.period)
        return [
            (0, x + copy * unit.period)
            for x, count in self._runs(unit.period)
            for copy in range(count)
        ]

    def _runs(self, period: float) -> Iterator[tuple[float, int]]:
        """Yield where the copies of a single piece begin on each chord, and how many there are.

        One after the other from the left, across the breaks between chords, is the most.
        """
        following = -math.inf
        for start, end in zip(self.start, self.end, strict=True):
            x = max(float(start), following)
            count = max(0, math.floor((float(end) - x) / period + _ROUNDING) + 1)
            yield x, count
            following = x + count * period if count else following


def best_phase(start: Values, end: Values, period: float) -> tuple[int, float]:
    """Return the most pieces that chords hold at one phase of a period, and that phase."""
    if not len(start):
        return 0, 0.0
    phases = np.unique(np.round(np.concatenate([start, end]) % period, 9))
    counts = (_last(end, phases[:, None], period) - _first(start, phases[:, None], period)) + 1.0
    sums = np.maximum(counts, 0.0).sum(axis=1)
    index = int(np.argmax(sums))
    return int(sums[index]), float(phases[index])


def _first(start: Values, phase: Values | float, period: float) -> Values:
    found: Values = np.ceil((start - phase) / period - _ROUNDING)
    return found


def _last(end: Values, phase: Values | float, period: float) -> Values:
    found: Values = np.floor((end - phase) / period + _ROUNDING)
    return found


@dataclass(frozen=True)
class FitRegion:
    """Where a piece may lie, as level lines see it: its height and all its edges, holes' too.

    Attributes:
        bottom: lowest y, infinite where there is no place.
        top: highest y, below it then.
        one: the starts of the edges.
        two: their ends.
    """

    bottom: float
    top: float
    one: Coordinates
    two: Coordinates

    @classmethod
    def of(cls, region: polygons.BaseGeometry) -> FitRegion:
        """Return what level lines see of a region."""
        rings = [
            polygons.get_coordinates(ring)
            for part in polygons.get_parts(region)
            for ring in (part.exterior, *part.interiors)
            if not part.is_empty
        ]
        if not rings:
            return cls(math.inf, -math.inf, np.empty((0, 2)), np.empty((0, 2)))
        _, bottom, _, top = region.bounds
        one = np.concatenate([ring[:-1] for ring in rings])
        return cls(bottom, top, one, np.concatenate([ring[1:] for ring in rings]))

    @property
    def is_empty(self) -> bool:
        """Return whether there is no place."""
        return self.bottom > self.top

    @cached_property
    def crossed(self) -> _Crossed:
        """Return which edges are crossed by level lines from each corner up to the next one."""
        return _Crossed.of(self.one[:, 1], self.two[:, 1])


@dataclass(frozen=True)
class _Crossed:
    """The edges that level lines cross, sorted once: a search asks of thousands of lines.

    Attributes:
        heights: of the corners, from below.
        first: for each height, where the edges begin that are crossed from there to the next one.
        edges: their numbers.
    """

    heights: Values
    first: NDArray[np.int64]
    edges: NDArray[np.int64]

    @classmethod
    def of(cls, one: Values, two: Values) -> _Crossed:
        """Return the edges by the heights of their ends; level ones are never crossed."""
        heights = np.unique(np.concatenate([one, two]))
        low = np.searchsorted(heights, np.minimum(one, two))
        spans = np.searchsorted(heights, np.maximum(one, two)) - low
        edges = np.repeat(np.arange(len(one)), spans)
        within = np.arange(len(edges)) - np.repeat(np.cumsum(spans) - spans, spans)
        at = low[edges] + within
        order = np.argsort(at, kind="stable")
        first = np.searchsorted(at[order], np.arange(len(heights) + 1))
        return cls(heights, first, edges[order])

    def at(self, levels: Values) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return the numbers of lines, in order, each with that of an edge that it crosses."""
        band = np.searchsorted(self.heights, levels, side="right") - 1
        start = self.first[np.maximum(band, 0)]
        counts = np.where(band < 0, 0, self.first[np.maximum(band, 0) + 1] - start)
        lines = np.repeat(np.arange(len(levels)), counts)
        within = np.arange(len(lines)) - np.repeat(np.cumsum(counts) - counts, counts)
        return lines, self.edges[start[lines] + within]


def longest_cuts(region: FitRegion, heights: Values) -> Values:
    """Return the length of the longest interval that a region leaves on each of many level lines.

    Shape:
        One entry for each height; below 0 where the region leaves none.
    """
    lines, start, end = cuts(region, heights)
    longest: Values = np.full(len(heights), -np.inf)
    np.maximum.at(longest, lines, end - start)
    return longest


def cuts(region: FitRegion, heights: Values) -> tuple[NDArray[np.int64], Values, Values]:
    """Return the intervals that a region leaves on level lines: numbers of lines, starts, ends."""
    bottom, top, one, two = region.bottom, region.top, region.one, region.two
    # A line along the region's lower or upper side still cuts it.
    near = np.where((heights < bottom) & (heights > bottom - 2.0 * HAIR), bottom, heights)
    near = np.where((near > top) & (near < top + 2.0 * HAIR), top, near)
    level = np.where(
        (near >= bottom) & (near <= top), np.clip(near, bottom + HAIR / 2, top - HAIR / 2), near
    )
    lines, edges = region.crossed.at(level)
    share = (level[lines] - one[edges, 1]) / (two[edges, 1] - one[edges, 1])
    x = one[edges, 0] + share * (two[edges, 0] - one[edges, 0])
    order = np.lexsort((x, lines))
    lines, x = lines[order], x[order]
    return lines[::2], x[::2], x[1::2]
