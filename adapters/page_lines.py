"""The lines of a printed page as chords, and whether they leave places for words free.

In arrays over all chords, because a page has hundreds of lines and as many words.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from geometry.model.segments import Bounds

#: Words keep more than this from lines, mm.
_CLEAR = 0.6
#: Pairs of places and lines that are compared at a time: they bound the memory.
_PAIRS = 200_000
_Floats = NDArray[np.float64]
_Flags = NDArray[np.bool_]
_Indices = NDArray[np.intp]


class PageLines:
    """Lines, marks and words of a page, as chords, and whether they leave a place free.

    Args:
        ways: rows x, y of each line, mm, at least two.
    """

    def __init__(self, ways: Iterable[_Floats]) -> None:
        self._take(list(ways))

    def _take(self, ways: list[_Floats]) -> None:
        self._ways = ways
        self._points = np.concatenate([np.empty((0, 2)), *ways])
        #: Where the rows of each line begin, and how many chords it has.
        counts = np.array([len(way) for way in ways], dtype=np.intp)
        self._begins = np.cumsum(counts) - counts
        self._chords = counts - 1
        if ways:
            self._low = np.minimum.reduceat(self._points, self._begins)
            self._high = np.maximum.reduceat(self._points, self._begins)
        else:
            self._low = self._high = np.empty((0, 2))

    def keep_off(self, boxes: Iterable[Bounds]) -> None:
        """Keep words off some boxes too."""
        more = [np.array([[each.left, each.bottom], [each.right, each.top]]) for each in boxes]
        if more:
            self._take([*self._ways, *more])

    def leave_free(self, box: Bounds) -> bool:
        """Return whether no line comes near to a box."""
        return bool(self.leave_each_free([box])[0])

    def leave_each_free(self, boxes: Sequence[Bounds]) -> _Flags:
        """Return for each box whether no line comes near to it."""
        rows = np.array(boxes, dtype=float).reshape(-1, 4)
        low, high = rows[:, :2] - _CLEAR, rows[:, 2:] + _CLEAR
        free = np.ones(len(rows), dtype=bool)
        step = max(1, _PAIRS // max(1, len(self._ways)))
        for begin in range(0, len(rows), step):
            part = slice(begin, begin + step)
            near = (self._low <= high[part, None]) & (self._high >= low[part, None])
            box, way = np.nonzero(near.all(axis=2))
            box += begin
            # Each chord of a near line, beside its box.
            at = np.repeat(box, self._chords[way])
            chord = _counted(self._begins[way], self._chords[way])
            met = _meets(self._points[chord], self._points[chord + 1], low[at], high[at])
            free[at[met]] = False
        return free


def _counted(begins: _Indices, counts: _Indices) -> _Indices:
    """Return for each beginning as many numbers as are counted, one after another."""
    before = np.cumsum(counts) - counts
    return np.asarray(np.arange(counts.sum()) + np.repeat(begins - before, counts))


def _meets(start: _Floats, end: _Floats, low: _Floats, high: _Floats) -> _Flags:
    """Return which chords meet their boxes: no axis separates the two."""
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    steps, centres = end - start, (end + start) / 2.0 - middle
    apart = (np.abs(centres) > np.abs(steps) / 2.0 + half).any(axis=1)
    cross = np.abs(steps[:, 0] * centres[:, 1] - steps[:, 1] * centres[:, 0])
    beside = cross > half[:, 0] * np.abs(steps[:, 1]) + half[:, 1] * np.abs(steps[:, 0])
    return np.asarray(~apart & ~beside)


def go_round(outlines: Sequence[_Floats], places: _Floats) -> _Flags:
    """Return which of some closed chains of chords go round their place.

    Args:
        outlines: rows x, y, mm, the first again at the end.
        places: row x, y of each outline's place, mm.
    """
    if not outlines:
        return np.zeros(0, dtype=bool)
    counts = np.array([len(each) - 1 for each in outlines])
    start = np.concatenate([each[:-1] for each in outlines])
    end = np.concatenate([each[1:] for each in outlines])
    at = np.repeat(places, counts, axis=0)
    over = np.flatnonzero((start[:, 1] > at[:, 1]) != (end[:, 1] > at[:, 1]))
    start, end, at = start[over], end[over], at[over]
    share = (at[:, 1] - start[:, 1]) / (end[:, 1] - start[:, 1])
    right = start[:, 0] + share * (end[:, 0] - start[:, 0]) > at[:, 0]
    owner = np.repeat(np.arange(len(outlines)), counts)[over]
    return np.asarray(np.bincount(owner[right], minlength=len(outlines)) % 2 == 1)
