"""The far side of a no-fit ring, ready to be looked up at many places at once."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from geometry.layout.fitting.holding_polygons import Coordinates

#: A place level with a ring's extreme to within this only touches it, mm.
_TOUCH = 1e-9
#: Heights that differ by less are no jump, mm.
_SAME = 1e-9


class Envelope:
    """The greatest height of a ring's outer edges at each place along.

    Between two neighbouring vertices no two outer edges of a simple ring cross, so that one of
    them is the farthest all the way.
    """

    def __init__(
        self, along: Coordinates, height: Coordinates, is_outer: NDArray[np.bool_]
    ) -> None:
        self._along, self._height, self._is_outer = along, height, is_outer
        self.low, self.high = float(along.min()), float(along.max())

    @classmethod
    def above(cls, ring: Coordinates) -> Envelope:
        """Return the highest y of a counter-clockwise ring by x: upper edges run to the left."""
        x, y = ring[:, 0], ring[:, 1]
        return cls(x, y, x[1:] <= x[:-1])

    @classmethod
    def right_of(cls, ring: Coordinates) -> Envelope:
        """Return the rightmost x of a counter-clockwise ring by y: right edges run up."""
        x, y = ring[:, 0], ring[:, 1]
        return cls(y, x, y[1:] >= y[:-1])

    def at(self, places: Coordinates) -> Coordinates:
        """Return the greatest height at each place; -inf beside the ring."""
        line = self._line
        if line is not None:
            heights: Coordinates = np.interp(places, line[0], line[1], -np.inf, -np.inf)
            return heights
        xs, left, slope, corner = self._pieces
        index = np.searchsorted(xs[1:-1], places, side="right")
        from_left = places - xs[index]
        found = left[index] + from_left * slope[index]
        found = np.where(from_left == 0.0, corner[index], found)
        here = (places > self.low + _TOUCH) & (places < self.high - _TOUCH)
        reached: Coordinates = np.where(here, found, -np.inf)
        return reached

    def highest_of(self, period: float) -> Callable[[Coordinates], Coordinates]:
        """Return what finds the greatest height at places and at whole periods farther along.

        The places it is given lie from the ring's low end on, less than a period farther. It is
        asked many times for the same period, which is how far apart the copies are.
        """
        copies = period * np.arange(math.ceil((self.high - self.low) / period))[:, None]

        def highest(places: Coordinates) -> Coordinates:
            if len(copies) == 1:
                return self.at(places)
            heights: Coordinates = np.maximum.reduce(self.at(places + copies))
            return heights

        return highest

    @cached_property
    def _line(self) -> tuple[Coordinates, Coordinates] | None:
        """Corners of an envelope without jumps; ``None`` where it has some."""
        single = self._single
        if single is None:
            xs, left, slope, corner = self._pieces
        else:
            xs, left, slope = single
            corner = left
        heights = np.append(left, left[-1] + (xs[-1] - xs[-2]) * slope[-1])
        before = left[:-1] + np.diff(xs[:-1]) * slope[:-1]
        jumps = np.maximum(np.abs(before - left[1:]), np.abs(corner[1:] - left[1:]))
        if not np.isfinite(heights).all() or (len(jumps) and jumps.max() > _SAME):
            return None
        xs = xs.copy()
        xs[0], xs[-1] = xs[0] + _TOUCH, xs[-1] - _TOUCH
        heights[0] += _TOUCH * slope[0]
        heights[-1] -= _TOUCH * slope[-1]
        return xs, heights

    @property
    def _single(self) -> tuple[Coordinates, Coordinates, Coordinates] | None:
        """As ``_pieces``, where a single outer edge lies at each place, as in convex rings."""
        along, height = self._along, self._height
        # Edges across the line of sight at the ring's extremes reach no place.
        outer = self._is_outer & (np.abs(np.diff(along)) > _TOUCH)
        x0, x1, y0, y1 = along[:-1][outer], along[1:][outer], height[:-1][outer], height[1:][outer]
        span = x1 - x0
        if abs(float(np.abs(span).sum()) - (self.high - self.low)) > _SAME:
            return None
        xs = np.unique(along)
        xs = xs[((xs > self.low + _TOUCH) & (xs < self.high - _TOUCH)) | (xs == self.low)]
        begin = np.minimum(x0, x1)
        order = begin.argsort()
        at = order[begin[order].searchsorted(xs + _TOUCH) - 1]
        slope = (y1 - y0)[at] / span[at]
        return np.append(xs, self.high), y0[at] + (xs - x0[at]) * slope, slope

    @cached_property
    def _pieces(self) -> tuple[Coordinates, Coordinates, Coordinates, Coordinates]:
        """Where pieces begin, their heights there, their slopes, and the heights of corners."""
        outer, along, height = self._is_outer, self._along, self._height
        xs = np.unique(along)
        x0, x1, y0, y1 = along[:-1][outer], along[1:][outer], height[:-1][outer], height[1:][outer]
        span = x1 - x0
        level = span == 0.0
        slope = np.divide(y1 - y0, span, out=np.zeros_like(span), where=~level)
        begin, end = np.minimum(x0, x1), np.maximum(x0, x1)
        low, high = xs[:-1, None], xs[1:, None]
        middle = np.where(
            (begin <= low) & (end >= high) & ~level,
            y0 + ((low + high) / 2.0 - x0) * slope,
            -np.inf,
        )
        farthest = middle.argmax(axis=1)
        reached = middle.max(axis=1) > -np.inf
        slopes = np.where(reached, slope[farthest], 0.0)
        lefts = y0[farthest] + (xs[:-1] - x0[farthest]) * slope[farthest]
        rights = np.where(reached, lefts + np.diff(xs) * slopes, -np.inf)
        lefts = np.where(reached, lefts, -np.inf)
        corners = np.maximum(lefts, np.concatenate([[-np.inf], rights[:-1]]))
        at = np.searchsorted(xs, x0[level])
        inside = at < len(corners)
        np.maximum.at(corners, at[inside], np.maximum(y0, y1)[level][inside])
        return xs, lefts, slopes, corners
