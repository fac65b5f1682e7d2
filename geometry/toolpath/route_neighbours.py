"""Strokes that lie near each other, so that a route looks at few exchanges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

#: A stroke's start and end, as complex numbers, mm.
Ends: TypeAlias = tuple[complex, complex]
#: Number of neighbours to try for each stroke.
_NEIGHBOURS = 8
#: Rings of squares to search before searching all remaining strokes.
_RINGS = 24


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
        width = max(p.real for p in places) - min(p.real for p in places) + 1.0
        height = max(p.imag for p in places) - min(p.imag for p in places) + 1.0
        # A few entries per square, but not so small that many squares are empty.
        self.size = 2.0 * math.sqrt(width * height / len(places))
        self.left = dict.fromkeys(range(len(options)))
        self.cells: dict[tuple[int, int], list[tuple[int, int]]] = {}
        for stroke, each in enumerate(options):
            for option, (begin, _) in enumerate(each):
                self.cells.setdefault(self._cell(begin), []).append((stroke, option))

    def _cell(self, place: complex) -> tuple[int, int]:
        return math.floor(place.real / self.size), math.floor(place.imag / self.size)

    def pop_nearest(self, at: complex) -> tuple[int, int]:
        """Remove the stroke with the nearest entry and return it with that entry."""
        x, y = self._cell(at)
        best = (math.inf, -1, -1)
        for reach in range(_RINGS):
            # Entries in later rings are farther than this.
            if best[0] <= (reach - 1) * self.size:
                break
            for cell in _ring(x, y, reach):
                best = min(best, self._best_in(cell, at))
        else:
            if best[1] < 0:
                best = min(self._away(stroke, at) for stroke in self.left)
        del self.left[best[1]]
        return best[1], best[2]

    def _best_in(self, cell: tuple[int, int], at: complex) -> tuple[float, int, int]:
        entries = self.cells.get(cell)
        if not entries:
            return math.inf, -1, -1
        entries = [entry for entry in entries if entry[0] in self.left]
        self.cells[cell] = entries
        return min(
            ((abs(self.options[s][o][0] - at), s, o) for s, o in entries),
            default=(math.inf, -1, -1),
        )

    def _away(self, stroke: int, at: complex) -> tuple[float, int, int]:
        ends = enumerate(self.options[stroke])
        return min((abs(begin - at), stroke, option) for option, (begin, _) in ends)


def _ring(x: int, y: int, reach: int) -> list[tuple[int, int]]:
    if not reach:
        return [(x, y)]
    span = range(-reach, reach + 1)
    return [
        *((x + step, y + side * reach) for step in span for side in (-1, 1)),
        *((x + side * reach, y + step) for step in span[1:-1] for side in (-1, 1)),
    ]


def neighbours(options: Sequence[Sequence[Ends]]) -> list[list[int]]:
    """Return the neighbours of each stroke by distance of entries, nearest first."""
    size = max(len(each) for each in options)
    padded = np.array([[each[min(i, len(each) - 1)][0] for i in range(size)] for each in options])
    middles = padded.mean(axis=1)
    found = []
    for stroke in range(len(options)):
        away = np.abs(padded[:, :, None] - padded[stroke]).min(axis=(1, 2))
        # Equally near ones (all touch at a corner) are sorted by their middles.
        away += 1e-3 * np.abs(middles - middles[stroke])
        away[stroke] = np.inf
        found.append([int(i) for i in np.argsort(away, kind="stable")[:_NEIGHBOURS]])
    return [[i for i in each if i != s] for s, each in enumerate(found)]
