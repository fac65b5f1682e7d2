"""Strokes that lie near each other, so that a route looks at few exchanges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from typing import TypeAlias

import numpy as np

#: A stroke's start and end, as complex numbers, mm.
Ends: TypeAlias = tuple[complex, complex]
#: Number of neighbours to try for each stroke.
_NEIGHBOURS = 8
#: Rings of squares to search before searching all remaining strokes.
_RINGS = 24
#: Distances that are calculated together, which limits the memory.
_DISTANCES = 200_000
#: Distances may be this much too large, mm.
_ROUNDING = 1e-6
_EMPTY: dict[tuple[int, int], complex] = {}


def nearest_first(
    options: Sequence[Sequence[Ends]], start: complex, chosen: list[int]
) -> list[int]:
    """Order strokes by always going to the nearest remaining entry."""
    cells = _Cells(options)
    route, at = [], start
    for _ in options:
        stroke, chosen[stroke] = cells.pop_nearest(at)
        route.append(stroke)
        at = options[stroke][chosen[stroke]][1]
    return route


class _Cells:
    """A grid of entries, to find the nearest without examining all."""

    def __init__(self, options: Sequence[Sequence[Ends]]) -> None:
        self.options = options
        places = [begin for each in options for begin, _ in each]
        across, along = [p.real for p in places], [p.imag for p in places]
        width, height = max(across) - min(across) + 1.0, max(along) - min(along) + 1.0
        # A few entries per square, but not so small that many squares are empty.
        self.size = 2.0 * math.sqrt(width * height / len(places))
        self.left = dict.fromkeys(range(len(options)))
        self.cells: dict[tuple[int, int], dict[tuple[int, int], complex]] = {}
        for stroke, each in enumerate(options):
            for option, (begin, _) in enumerate(each):
                self.cells.setdefault(self._cell(begin), {})[stroke, option] = begin

    def _cell(self, place: complex) -> tuple[int, int]:
        return math.floor(place.real / self.size), math.floor(place.imag / self.size)

    def pop_nearest(self, at: complex) -> tuple[int, int]:
        """Remove the stroke with the nearest entry and return it with that entry."""
        x, y = self._cell(at)
        cells, least, nearest = self.cells, math.inf, (-1, -1)
        for reach in range(_RINGS):
            # Entries in later rings are farther than this.
            if least <= (reach - 1) * self.size:
                break
            for across, along in _ring(reach):
                for entry, begin in cells.get((x + across, y + along), _EMPTY).items():
                    away = abs(begin - at)
                    if away < least or (away == least and entry < nearest):
                        least, nearest = away, entry
        else:
            if nearest[0] < 0:
                nearest = min(self._away(stroke, at) for stroke in self.left)[1:]
        stroke, option = nearest
        del self.left[stroke]
        for each, (begin, _) in enumerate(self.options[stroke]):
            del cells[self._cell(begin)][stroke, each]
        return stroke, option

    def _away(self, stroke: int, at: complex) -> tuple[float, int, int]:
        ends = enumerate(self.options[stroke])
        return min((abs(begin - at), stroke, option) for option, (begin, _) in ends)


@cache
def _ring(reach: int) -> tuple[tuple[int, int], ...]:
    """Return the steps to the squares that are so far away."""
    if not reach:
        return ((0, 0),)
    span = range(-reach, reach + 1)
    return (
        *((step, side * reach) for step in span for side in (-1, 1)),
        *((side * reach, step) for step in span[1:-1] for side in (-1, 1)),
    )


def neighbours(options: Sequence[Sequence[Ends]]) -> list[list[tuple[int, float]]]:
    """Return the neighbours of each stroke by distance of entries, nearest first.

    Each comes with a distance that no two of their entries are nearer than, mm.
    """
    count, size = len(options), max(len(each) for each in options)
    padded = np.array([[each[min(i, len(each) - 1)][0] for i in range(size)] for each in options])
    middles = padded.mean(axis=1)
    found: list[list[tuple[int, float]]] = []
    step = max(1, _DISTANCES // (count * size * size))
    for first in range(0, count, step):
        own = slice(first, first + step)
        apart = np.abs(padded[None, :, :, None] - padded[own, None, None, :]).min(axis=(2, 3))
        # Equally near ones (all touch at a corner) are sorted by their middles.
        away = apart + 1e-3 * np.abs(middles - middles[own, None])
        rows = np.arange(len(away))
        away[rows, first + rows] = np.inf
        nearest = np.argsort(away, axis=1, kind="stable")[:, :_NEIGHBOURS]
        least = np.take_along_axis(apart, nearest, axis=1) - _ROUNDING
        found.extend(
            [pair for pair in zip(*row, strict=True) if pair[0] != first + at]
            for at, row in enumerate(zip(nearest.tolist(), least.tolist(), strict=True))
        )
    return found
