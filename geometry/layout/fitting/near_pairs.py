"""How deep pairs of convex pieces overlap, asked again and again while the pieces move."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.layout.fitting.holding_polygons import Coordinates
from geometry.layout.fitting.separating_lines import Overlaps

#: Directions from a piece to another, in which few lines matter.
SECTORS: Final = 32
#: Corners of lines that are moved out lie no farther out than this, mm.
CORNERS_OUT: Final = 1.0e-2
#: Lines that are numbered in a byte, from the last one on.
_MAX_IN_BYTES: Final = 255
_FROM_LAST: Final = np.arange(_MAX_IN_BYTES, 0, -1, dtype=np.uint8)[:, None]


def apart(places: Coordinates, first: NDArray[np.int64], second: NDArray[np.int64]) -> Coordinates:
    """Return where the second piece of each pair lies, seen from the first, mm.

    Shape:
        A line of x and one of y. Fast where the memory of the places is in that order too.
    """
    lines = places.T
    found: Coordinates = lines.take(second, axis=1)
    found -= lines.take(first, axis=1)
    return found


@dataclass(frozen=True, eq=False)
class NearPairs:
    """Pairs of pieces, each with all lines of its no-fit polygon: for polygons of few lines.

    The origin lies inside every polygon, so that no line is left out wherever the pieces lie.

    Attributes:
        numbers: of the pairs.
        ends: the numbers of their first pieces, and of the second ones.
        lines: normals, x and y, and reaches; a line for each line and a column for each pair.
    """

    numbers: NDArray[np.int64]
    ends: NDArray[np.int64]
    lines: Coordinates

    def overlaps(self, places: Coordinates) -> Overlaps:
        """Return those that overlap."""
        return _over(self.ends, apart(places, *self.ends), self.lines)


@dataclass(frozen=True, eq=False)
class NearPairsInSectors:
    """Pairs of pieces with the lines that matter in each direction: for polygons of many lines.

    Attributes:
        numbers: of the pairs.
        ends: the numbers of their first pieces, and of the second ones.
        lines: of every sector of every polygon: normals, x and y, and reaches; a line for each line
            and a column for each sector.
        begin: the first sector of each pair's polygon.
        outer: how far from the origin the farthest corner of it lies, mm.
    """

    numbers: NDArray[np.int64]
    ends: NDArray[np.int64]
    lines: Coordinates
    begin: NDArray[np.int64]
    outer: Coordinates

    def overlaps(self, places: Coordinates) -> Overlaps:
        """Return those that overlap."""
        x, y = places_apart = apart(places, *self.ends)
        close = (np.hypot(x, y) < self.outer + CORNERS_OUT).nonzero()[0]
        x, y = places_apart = places_apart.take(close, axis=1)
        sector = np.floor(np.arctan2(y, x) * (SECTORS / math.tau)).astype(np.int64) % SECTORS
        lines = self.lines.take(self.begin[close] + sector, axis=2)
        return _over(self.ends.take(close, axis=1), places_apart, lines)


def _over(ends: NDArray[np.int64], places_apart: Coordinates, lines: Coordinates) -> Overlaps:
    """Return the pairs of which the second piece lies inside all lines, with the nearest line."""
    across, up, reach = lines
    outside = across * places_apart[0]
    outside += up * places_apart[1]
    outside -= reach
    farthest = np.maximum.reduce(outside, axis=0, initial=-np.inf)
    over = (farthest < 0.0).nonzero()[0]
    if not len(over) or not len(outside):
        return Overlaps(*ends[:, :0], *lines[:, 0, :0])
    line = _first_line_at(outside, farthest).take(over)
    at = line * len(farthest) + over
    first, second = ends.take(over, axis=1)
    depth = -farthest.take(over)
    return Overlaps(first, second, across.ravel().take(at), up.ravel().take(at), depth)


def _first_line_at(outside: Coordinates, farthest: Coordinates) -> NDArray[np.int64]:
    """Return which line is the first that is so far out, for each column: ``argmax``, but faster.

    The comparisons take a byte each, and many bytes are compared at once.
    """
    count = len(outside)
    if count > _MAX_IN_BYTES:
        line: NDArray[np.int64] = outside.argmax(axis=0)
        return line
    is_so_far = (outside == farthest).view(np.uint8)
    from_last = np.maximum.reduce(is_so_far * _FROM_LAST[-count:], axis=0)
    number: NDArray[np.int64] = count - from_last.astype(np.int64)
    return number
