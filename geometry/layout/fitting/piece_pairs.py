"""All pairs of pieces of one convex outline in rectangles, and how deep they overlap."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from geometry.layout.fitting.holding_polygons import Coordinates, turned
from geometry.layout.fitting.no_fit import no_fit
from geometry.layout.fitting.separating_lines import AT_CORNERS, Lines, Overlaps, lines_of
from geometry.model.outline import Outline

#: Pieces are parted by this much more than the gap, and may come this much nearer, mm.
_MORE, NEARER = 1.0e-4, 5.0e-5
#: Directions from a piece to another, in which few lines matter; they overlap by this, radians.
_SECTORS, _OVERLAP = 32, 1.0e-6
#: Lines are left out where others lie farther in by this much, mm, and lengths are compared with as
#: much to spare: far more than rounding.
_CERTAIN = 1.0e-6
#: Corners of lines that are moved out lie no farther out than this, mm.
_CORNERS_OUT = 1.0e-2


class PiecePairs:
    """All pairs of pieces: by their two turns, with the lines of one no-fit polygon for each.

    Pieces of several rectangles follow each other, as many of each; only those of one are paired.

    Attributes:
        rectangle: the number of the rectangle that each pair lies in.
    """

    def __init__(
        self, outline: Outline, turns: Sequence[float], gap: float, rectangles: int = 1
    ) -> None:
        kinds, kind_of = np.unique(np.array(turns), return_inverse=True)
        count = len(turns) // rectangles
        first, second = np.triu_indices(count, 1)
        start = np.arange(rectangles)[:, None] * count
        self.first, self.second = (start + first).ravel(), (start + second).ravel()
        self.rectangle = np.repeat(np.arange(rectangles), len(first))
        ways, self._way = np.unique(
            kind_of[self.first] * len(kinds) + kind_of[self.second], return_inverse=True
        )
        self._facing = [
            _facing(outline, *(float(kinds[each]) for each in divmod(way, len(kinds))), gap)
            for way in ways.tolist()
        ]
        most = max((each.lines.shape[1] for each in self._facing), default=0)
        every = [each.of_sectors(most) for each in self._facing]
        self._lines = np.concatenate(every, axis=1) if every else np.zeros((3, 0, 0))
        sizes = np.array([(each.inner, each.outer, each.corner) for each in self._facing])
        self._inner, self._outer, self._corner = sizes.reshape(-1, 3)[self._way].T

    def near(self, places: Coordinates, slack: Coordinates) -> NDArray[np.int64]:
        """Return the numbers of the pairs that overlap or are nearer than each one's slack, mm."""
        far = np.hypot(*self._apart(places, slice(None)))
        kept: NDArray[np.int64] = np.flatnonzero(far < self._outer + self._corner * slack)
        near: NDArray[np.bool_] = far[kept] < self._inner[kept] + slack[kept] - _CERTAIN
        # Of most pairs, how far apart the pieces lie says enough.
        rest = kept[~near]
        near[~near] = self._distance(places, rest) < slack[rest]
        found: NDArray[np.int64] = kept[near]
        return found

    def overlaps(self, places: Coordinates, near: NDArray[np.int64]) -> Overlaps:
        """Return the overlaps of some pairs."""
        x, y = self._apart(places, near)
        close = np.flatnonzero(np.hypot(x, y) < self._outer[near] + _CORNERS_OUT)
        near, x, y = near[close], x[close], y[close]
        sector = np.floor(np.arctan2(y, x) * (_SECTORS / math.tau)).astype(np.int64) % _SECTORS
        across, up, reach = self._lines[:, self._way[near] * _SECTORS + sector]
        outside = across * x[:, None]
        outside += up * y[:, None]
        outside -= reach
        every, line = np.arange(len(near)), outside.argmax(axis=1)
        depth = -outside[every, line]
        over = np.flatnonzero(depth > 0.0)
        at, line = near[over], line[over]
        return Overlaps(
            self.first[at], self.second[at], across[over, line], up[over, line], depth[over]
        )

    def deepest(self, places: Coordinates, rectangle: int = 0) -> float:
        """Return how deep the deepest overlap in a rectangle is, 0 where there is none."""
        here = np.flatnonzero(self.rectangle == rectangle)
        return float(self.overlaps(places, here).depth.max(initial=0.0))

    def _apart(
        self, places: Coordinates, at: NDArray[np.int64] | slice
    ) -> tuple[Coordinates, Coordinates]:
        """Return where the second piece of some pairs lies, seen from the first, mm."""
        x, y = (places[self.second[at]] - places[self.first[at]]).T
        return x, y

    def _distance(self, places: Coordinates, at: NDArray[np.int64]) -> Coordinates:
        """Return how far apart some pairs lie, mm; negative where they overlap."""
        x, y = self._apart(places, at)
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

    def of_sectors(self, most: int) -> Coordinates:
        """Return normals, x and y, and reaches of so many lines for each sector.

        Shape:
            Three; sectors; lines, the last one repeated where there are fewer.
        """
        lines = self.lines[:, np.minimum(np.arange(most), self.lines.shape[1] - 1)]
        return np.stack([*self.all.normals.T, self.all.reach])[:, lines]


@lru_cache(maxsize=1024)
def _facing(outline: Outline, first: float, second: float, gap: float) -> _Facing:
    """Return the lines of the no-fit polygon of an outline at two turns, degrees."""
    ring = no_fit(turned(outline, first), turned(outline, second), gap)
    found = lines_of(ring, NEARER, _MORE)
    normals, far = found.normals, found.radius + 2.0 * _CORNERS_OUT
    starts = np.arange(_SECTORS) * (math.tau / _SECTORS) - _OVERLAP
    ends = starts + math.tau / _SECTORS + 2.0 * _OVERLAP
    # The sides of each sector, so long that the chord between their ends holds all places.
    long = far / math.cos(math.pi / _SECTORS + _OVERLAP)
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
