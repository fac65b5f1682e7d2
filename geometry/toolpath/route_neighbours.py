"""Strokes that lie near each other, so that a route looks at few exchanges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

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
        #: The squares of the entries of each stroke.
        self.own: list[list[tuple[int, int]]] = []
        for stroke, each in enumerate(options):
            own = [self._cell(begin) for begin, _ in each]
            for option, (cell, (begin, _)) in enumerate(zip(own, each, strict=True)):
                self.cells.setdefault(cell, {})[stroke, option] = begin
            self.own.append(own)

    def _cell(self, place: complex) -> tuple[int, int]:
        return math.floor(place.real / self.size), math.floor(place.imag / self.size)

    def pop_nearest(self, at: complex) -> tuple[int, int]:
        """Remove the stroke with the nearest entry and return it with that entry."""
        x, y = self._cell(at)
        cells, least, nearest = self.cells, math.inf, (-1, -1)
        # From here to the nearest edge of its own square.
        edge = self._to_edge(at, x, y)
        for reach in range(_RINGS):
            # Entries in this ring and in later ones are farther than the edge of those before.
            if least < edge + (reach - 1) * self.size:
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
        for each, cell in enumerate(self.own[stroke]):
            del cells[cell][stroke, each]
        return stroke, option

    def _to_edge(self, at: complex, x: int, y: int) -> float:
        """Return a distance that the nearest edge of a place's square is not nearer than."""
        size = self.size
        across, along = at.real - x * size, at.imag - y * size
        return min(across, size - across, along, size - along) - _ROUNDING

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


class Neighbours(NamedTuple):
    """The nearest neighbours of a stroke.

    ``nearest`` are their numbers, nearest first, each with a distance that no two entries of both
    strokes are nearer than, mm. ``beyond`` is such a distance to all other strokes.
    """

    nearest: list[tuple[int, float]]
    beyond: float


def padded(options: Sequence[Sequence[Ends]]) -> npt.NDArray[np.complex128]:
    """Return the starts and ends of all strokes as one array; the last entry of each is repeated.

    Shape:
        Strokes, entries, then start and end.
    """
    size = max(len(each) for each in options)
    rows = [[*each, *[each[-1]] * (size - len(each))] for each in options]
    return np.array(rows, dtype=np.complex128)


def neighbours(ends: npt.NDArray[np.complex128]) -> list[Neighbours]:
    """Return the neighbours of each stroke by distance of entries.

    Args:
        ends: what :func:`padded` returns.
    """
    begins = ends[..., 0]
    (count, size), middles = begins.shape, begins.mean(axis=1)
    # Pairs of entries come first, because the least over long rows is found sooner.
    entries = np.ascontiguousarray(begins.T)
    found: list[Neighbours] = []
    step = max(1, _DISTANCES // (count * size * size))
    for first in range(0, count, step):
        own = slice(first, first + step)
        apart = np.abs(entries[:, None, None, :] - entries[None, :, own, None]).min(axis=(0, 1))
        # Equally near ones (all touch at a corner) are sorted by their middles.
        away = apart + 1e-3 * np.abs(middles - middles[own, None])
        rows = np.arange(len(away))
        away[rows, first + rows] = np.inf
        nearest = np.argsort(away, axis=1, kind="stable")[:, :_NEIGHBOURS]
        least = np.take_along_axis(apart, nearest, axis=1) - _ROUNDING
        np.put_along_axis(apart, nearest, np.inf, axis=1)
        apart[rows, first + rows] = np.inf
        beyond = apart.min(axis=1) - _ROUNDING
        found.extend(
            Neighbours([pair for pair in zip(*row, strict=True) if pair[0] != first + at], far)
            for at, (*row, far) in enumerate(
                zip(nearest.tolist(), least.tolist(), beyond.tolist(), strict=True)
            )
        )
    return found
