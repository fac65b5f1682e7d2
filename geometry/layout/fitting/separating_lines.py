"""Pairs of convex pieces: the lines of their no-fit polygons, which keep them apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.layout.fitting.holding_polygons import Coordinates

#: Farther from a polygon than this many times a distance, a place is so far from one of its lines
#: except about the sharpest corners, from which pieces are looked at in any case when they come.
AT_CORNERS = 3.0


@dataclass(frozen=True, eq=False)
class Lines:
    """The lines of a convex no-fit polygon: normals, how far out they lie, and its corners do."""

    normals: Coordinates
    reach: Coordinates
    radius: float


def lines_of(ring: Coordinates, shortest: float, more: float) -> Lines:
    """Return the lines of a convex counter-clockwise ring.

    Args:
        ring: the first point repeated at the end.
        shortest: edges that are no longer have no line, mm.
        more: how far the lines are moved out, mm.
    """
    edges = ring[1:] - ring[:-1]
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    edges, starts = edges[lengths > shortest], ring[:-1][lengths > shortest]
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    normals /= np.hypot(normals[:, 0], normals[:, 1])[:, None]
    reach = (normals * starts).sum(axis=1) + more
    radius = float(np.hypot(ring[:, 0], ring[:, 1]).max()) + more * AT_CORNERS
    return Lines(normals, reach, radius)


@dataclass(frozen=True, eq=False)
class Overlaps:
    """Pairs that overlap.

    Attributes:
        first: the numbers of the pieces of each pair.
        second: the same.
        across: outward normals of the lines that part the pairs soonest, x.
        up: the same, y.
        depth: how far from that line the second piece lies, mm.
    """

    first: NDArray[np.int64]
    second: NDArray[np.int64]
    across: Coordinates
    up: Coordinates
    depth: Coordinates

    def pull(self, count: int, weights: Coordinates | None = None) -> Coordinates:
        """Return which way overlaps pull each of so many pieces.

        ``weights`` of overlaps are by the numbers of both pieces; left out: all alike.
        """
        moves = self.depth if weights is None else self.depth * weights[self.first, self.second]
        pull = np.empty((2, count))
        for axis, normals in zip(pull, (self.across, self.up), strict=True):
            moved = normals * moves
            to, back = np.bincount(self.second, moved, count), np.bincount(self.first, moved, count)
            np.subtract(to, back, out=axis)
        return pull.T


@dataclass(frozen=True)
class Pairs:
    """Pairs of pieces, each with the lines of its convex no-fit polygon.

    A piece keeps clear of another where it lies outside at least one of the lines.

    Attributes:
        first: the numbers of the pieces of each pair.
        second: the same.
        across: outward normals of the lines, x; a line for each pair.
        up: the same, y.
        reach: how far out each line lies, mm; infinite where a pair has fewer.
    """

    first: NDArray[np.int64]
    second: NDArray[np.int64]
    across: Coordinates
    up: Coordinates
    reach: Coordinates

    def overlaps(self, places: Coordinates) -> Overlaps:
        """Return the pairs that overlap."""
        outside = self.outside(places)
        distance = outside.max(axis=1, initial=-np.inf)
        near = np.flatnonzero(distance < 0.0)
        line = outside[near].argmax(axis=1) if len(near) else near
        return Overlaps(
            self.first[near],
            self.second[near],
            self.across[near, line],
            self.up[near, line],
            -distance[near],
        )

    def distance(self, places: Coordinates) -> Coordinates:
        """Return how far apart each pair lies, mm; negative where it overlaps."""
        distance: Coordinates = self.outside(places).max(axis=1, initial=-np.inf)
        return distance

    def of(self, at: NDArray[np.int64]) -> Pairs:
        """Return some of the pairs, by their numbers."""
        return Pairs(self.first[at], self.second[at], self.across[at], self.up[at], self.reach[at])

    def outside(self, places: Coordinates) -> Coordinates:
        """Return how far each pair's second piece lies outside each line, negative if inside."""
        apart = places[self.second] - places[self.first]
        outside: Coordinates = self.across * apart[:, :1]
        outside += self.up * apart[:, 1:]
        outside -= self.reach
        return outside
