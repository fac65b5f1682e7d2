"""Pairs of segments that may meet, found with a tree of boxes and filtered in arrays.

The filters keep every pair that meets, and few others: two segments cannot meet if one lies wholly
beside the other's chord and bow, or if two circles are too far apart or inside each other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.model.points import Point
from geometry.model.segments import Arc, Segment, segment

Numbers: TypeAlias = NDArray[np.float64]
Indices: TypeAlias = NDArray[np.intp]

#: Segments whose boxes are compared with all others at a time, at first, and pairs below which
#: twice as many are compared the next time.
_CHUNK, _FEW_PAIRS = 64, 8_192
#: Pairs of boxes that one comparison may find, if more than the first number of segments is
#: compared: those that come next may all lie over each other, whatever came before. Pairs that are
#: looked at together. Both bound the memory.
_MAX_PAIRS, _TOGETHER = 1_000_000, 150_000
#: Rounding of coordinates, as a share of their size.
_ROUNDING = 1.0e-9


def _always(_: int) -> bool:
    return True


class Segments:
    """The segments of several paths as arrays; ``owner`` is the number of a segment's path."""

    def __init__(self, paths: Sequence[Sequence[Segment]]) -> None:
        parts = [part for path in paths for part in path]
        self.parts = parts
        owner = np.repeat(np.arange(len(paths)), [len(path) for path in paths])
        self._measure(
            np.array([part.start for part in parts], dtype=float).reshape(-1, 2),
            np.array([part.end for part in parts], dtype=float).reshape(-1, 2),
            np.array([part.bulge for part in parts], dtype=float),
            owner,
        )

    @classmethod
    def of_ends(cls, start: Numbers, end: Numbers, bulge: Numbers) -> Segments:
        """Return segments by their ends, each a path of its own."""
        made = cls.__new__(cls)
        made._measure(start, end, bulge, np.arange(len(bulge)))  # noqa: SLF001 - its own
        return made

    @cached_property
    def parts(self) -> list[Segment]:
        """Return the segments themselves."""
        return [
            segment(Point(*one), Point(*two), bend)
            for one, two, bend in zip(
                self.start.tolist(), self.end.tolist(), self.bulge.tolist(), strict=True
            )
        ]

    @cached_property
    def lengths(self) -> Numbers:
        """Return the length of each line and arc, mm; ``length`` is that of its chord."""
        sweep = 4.0 * np.arctan(np.abs(self.bulge))
        return np.asarray(np.where(self.is_arc, sweep * self.radius, self.length))

    def _measure(self, start: Numbers, end: Numbers, bulge: Numbers, owner: Indices) -> None:
        self.start, self.end, self.bulge, self.owner = start, end, bulge, owner
        self.is_arc = bulge != 0.0
        self.chord = end - start
        self.length = np.hypot(*self.chord.T)
        #: The middle of each segment: an arc's lies beside its chord by half chord times bulge.
        aside = np.stack([self.chord[:, 1], -self.chord[:, 0]], axis=1)
        self.middle = (start + end + aside * bulge[:, None]) / 2.0
        #: The height of an arc above its chord.
        self.bow = np.abs(bulge) * self.length / 2.0
        tangent = np.where(self.is_arc, bulge, 1.0)
        off = (1.0 - tangent**2) / (4.0 * tangent)
        centre = (start + end) / 2.0 - aside * off[:, None]
        self.centre = np.where(self.is_arc[:, None], centre, start)
        radius = self.length * (1.0 + bulge**2) / (4.0 * np.abs(tangent))
        self.radius = np.where(self.is_arc, radius, 0.0)
        low, high = np.minimum(start, end), np.maximum(start, end)
        arcs = np.flatnonzero(self.is_arc)
        self.boxes = np.concatenate([low, high], axis=1)
        if len(arcs):
            self.boxes[arcs] = [
                Arc(Point(*one), Point(*two), bend).bounds()
                for one, two, bend in zip(
                    start[arcs].tolist(), end[arcs].tolist(), bulge[arcs].tolist(), strict=True
                )
            ]

    def near_pairs(
        self, slack: float, can_do: Callable[[int], bool] = _always
    ) -> Iterator[tuple[Indices, Indices]]:
        """Yield arrays of segments of different paths that come within ``slack`` mm, or nearly.

        The first one of a pair has the lower number.

        Args:
            slack: distance, mm.
            can_do: called with the number of steps ahead; the iteration ends when it returns false.
        """
        low, high = self.boxes[:, :2] - slack / 2.0, self.boxes[:, 2:] + slack / 2.0
        boxes = polygons.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
        tree = polygons.STRtree(boxes)
        begin, count = 0, _CHUNK
        while begin < len(boxes):
            found = tree.query(boxes[begin : begin + count])
            found[0] += begin
            begin += count
            count = count * 2 if found.shape[1] < _FEW_PAIRS else count // 2
            count = max(_CHUNK, min(count, _MAX_PAIRS // len(boxes)))
            if not can_do(8 * found.shape[1] + 1):
                return
            for first in range(0, found.shape[1], _TOGETHER):
                one, other = found[:, first : first + _TOGETHER]
                kept = (one < other) & (self.owner[one] != self.owner[other])
                one, other = one[kept], other[kept]
                if not can_do(10 * len(one)):
                    return
                kept = self._may_meet(one, other, slack)
                if kept.any():
                    yield one[kept], other[kept]

    def _may_meet(self, one: Indices, other: Indices, slack: float) -> NDArray[np.bool_]:
        kept = self._reaches(one, other, slack) & self._reaches(other, one, slack)
        both = self.is_arc[one] & self.is_arc[other] & kept
        apart = np.hypot(*(self.centre[one] - self.centre[other]).T)
        first, second = self.radius[one], self.radius[other]
        near = slack + _ROUNDING * (first + second)
        circles = (apart <= first + second + near) & (apart >= np.abs(first - second) - near)
        return np.asarray(kept & (~both | circles))

    def _reaches(self, one: Indices, other: Indices, slack: float) -> NDArray[np.bool_]:
        """Return whether the other's ends and bow reach the band of the first one's bow."""
        length = np.maximum(self.length[one], 1e-300)
        unit = self.chord[one] / length[:, None]
        sides = [
            unit[:, 0] * (places[other] - self.start[one])[:, 1]
            - unit[:, 1] * (places[other] - self.start[one])[:, 0]
            for places in (self.start, self.end)
        ]
        reach = self.bow[one] + self.bow[other] + slack
        size = np.abs(sides[0]) + np.abs(sides[1]) + self.length[one]
        reach = reach + _ROUNDING * size
        return np.asarray(
            (np.minimum(sides[0], sides[1]) <= reach) & (np.maximum(sides[0], sides[1]) >= -reach)
        )
