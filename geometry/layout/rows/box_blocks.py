"""Equal rectangles in blocks within blocks, lying and standing: the most that a rectangle holds.

Rows of lying pieces beside rows of standing ones often fill what rows of one way leave over, and so
do blocks of these.

Source:
    Guillotine cuts of a rectangle at sums of both sides ("normal patterns"), by dynamic
    programming: J. C. Herz, "Recursive computational procedure for two-dimensional stock cutting",
    IBM Journal of Research and Development 16 (1972). From memory.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from geometry.tolerance import LAYOUT_ACCURACY

#: Units to the mm: sums of sides are whole numbers.
_UNITS: Final = 1_000_000_000
#: Sides may be longer than a rectangle by so much, in units, from rounding.
_SLACK: Final = int(LAYOUT_ACCURACY / 4.0 * _UNITS)
#: Sums of both sides along an axis above which no blocks are sought: edges matter less.
_MAX_SUMS: Final = 60


@dataclass
class BoxBlocks:
    """The blocks of one rectangle, the gap added to both of its sides.

    Attributes:
        wide: width of a lying piece and the gap, in units.
        tall: its height and the gap.
    """

    wide: int
    tall: int
    _most: dict[tuple[int, int], tuple[int, int, bool]] = field(default_factory=dict)
    _sums: dict[int, tuple[int, ...]] = field(default_factory=dict)

    @classmethod
    def of(cls, width: float, height: float, gap: float) -> BoxBlocks:
        """Return the blocks of a piece, mm."""
        wide, tall = (math.ceil((side + gap) * _UNITS - 0.001) for side in (width, height))
        return cls(wide, tall)

    def sums(self, side: float) -> list[float]:
        """Return the sums of both sides up to a length with its gap, mm; none where too many."""
        found = self._sums_of(_whole(side))
        return [each / _UNITS for each in found] if len(found) <= _MAX_SUMS else []

    def most(self, width: float, height: float) -> int:
        """Return how many pieces a rectangle holds, the gap added to its sides, mm."""
        return self._held(_whole(width), _whole(height))[0]

    def places(self, width: float, height: float) -> Iterator[tuple[float, float, bool]]:
        """Yield the lower left corner of each piece, mm, and whether it stands."""
        for x, y, stands in self._placed(0, 0, _whole(width), _whole(height)):
            yield x / _UNITS, y / _UNITS, stands

    def _sums_of(self, side: int) -> tuple[int, ...]:
        """Return the sums of both sides up to a length, in order."""
        if side not in self._sums:
            self._sums[side] = tuple(
                sorted(
                    {
                        lying * self.wide + standing * self.tall
                        for lying in range(side // self.wide + 1)
                        for standing in range((side - lying * self.wide) // self.tall + 1)
                    }
                )
            )
        return self._sums[side]

    def _held(self, width: int, height: int) -> tuple[int, int, bool]:
        """Return how many a rectangle holds, and where it is cut: at a width, or at a height.

        Cut at 0 it holds pieces of one way; they stand where the last value is true.
        """
        across, up = self._sums_of(width)[-1], self._sums_of(height)[-1]
        known = self._most.get((across, up))
        if known is not None:
            return known
        lying = (across // self.wide) * (up // self.tall)
        standing = (across // self.tall) * (up // self.wide)
        best = (max(lying, standing), 0, standing > lying)
        limit = across * up // (self.wide * self.tall)
        for upright, side in ((True, across), (False, up)):
            sums = self._sums_of(side)
            for cut in sums[1 : bisect_right(sums, side // 2)]:
                if best[0] >= limit:
                    break
                if upright:
                    held = self._held(cut, up)[0] + self._held(across - cut, up)[0]
                else:
                    held = self._held(across, cut)[0] + self._held(across, up - cut)[0]
                if held > best[0]:
                    best = (held, cut, upright)
        self._most[across, up] = best
        return best

    def _placed(self, x: int, y: int, width: int, height: int) -> Iterator[tuple[int, int, bool]]:
        held, cut, upright = self._held(width, height)
        if not held:
            return
        if cut and upright:
            yield from self._placed(x, y, cut, height)
            yield from self._placed(x + cut, y, self._sums_of(width)[-1] - cut, height)
        elif cut:
            yield from self._placed(x, y, width, cut)
            yield from self._placed(x, y + cut, width, self._sums_of(height)[-1] - cut)
        else:
            wide, tall = (self.tall, self.wide) if upright else (self.wide, self.tall)
            for row in range(height // tall):
                for column in range(width // wide):
                    yield x + column * wide, y + row * tall, upright


def _whole(side: float) -> int:
    return math.floor(side * _UNITS) + _SLACK
