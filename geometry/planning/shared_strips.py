"""Strips that several sizes of piece share: from what one leaves of a strip, the next is cut.

Source:
    Common practice, no source: strips of one width are cut for the longest pieces first, and the
    ends that are left are used for shorter ones.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from geometry.planning.strips import StripPattern

#: Decimals of mm to which strips are equally wide.
_DECIMALS = 6


@dataclass(frozen=True)
class InStrips:
    """Pieces of one size, to be cut from strips.

    Args:
        count: of pieces.
        pattern: how pieces, or the rectangles that they share, lie in a strip.
        pieces_per_cell: pieces of one rectangle; 1 where none is shared.
    """

    count: int
    pattern: StripPattern
    pieces_per_cell: int = 1

    def held(self, room: float) -> int:
        """Return how many pieces a strip of a length holds."""
        return self.pattern.count(room) * self.pieces_per_cell

    def extent(self, count: int, room: float) -> float:
        """Return the length of a strip that some of the pieces take."""
        cells = -(-count // self.pieces_per_cell)
        (last, _) = self.pattern.lefts(cells, self.pattern.start(room))[-1]
        return last + self.pattern.width


@dataclass(frozen=True)
class StripPortion:
    """The pieces of one size in a strip: which size, how many, and where they begin, mm."""

    index: int
    count: int
    start: float


@dataclass(frozen=True)
class CutStrip:
    """Equal strips across the fabric, mm; ``used`` is the length that is cut up."""

    height: float
    repeats: int
    portions: tuple[StripPortion, ...]
    used: float

    @property
    def is_shared(self) -> bool:
        """Return whether pieces of several sizes are cut from it."""
        return len(self.portions) > 1


def cut_strips(sizes: Sequence[InStrips], room: float) -> tuple[CutStrip, ...]:
    """Return the strips for all sizes, those of one width in turn, the longest pieces first.

    Args:
        sizes: of pieces; each fits in a strip.
        room: length of a strip, mm.
    """
    order = sorted(range(len(sizes)), key=lambda index: -round(sizes[index].pattern.width, 6))
    widths: dict[float, list[CutStrip]] = {}
    for index in order:
        size = sizes[index]
        key = round(size.pattern.height, _DECIMALS)
        widths[key] = list(_with(size, index, widths.get(key, ()), room))
    return tuple(strip for strips in widths.values() for strip in strips)


def _with(
    size: InStrips, index: int, strips: Sequence[CutStrip], room: float
) -> Iterator[CutStrip]:
    """Yield strips with one more size in what they have left, and new ones for the rest of it."""
    need = size.count
    fresh = CutStrip(size.pattern.height, need, (), 0.0)
    for strip in (*strips, fresh):
        left = strip.repeats
        while left and (held := min(size.held(room - strip.used), need)):
            repeats = min(left, need // held)
            yield _filled(strip, size, index, (held, repeats), room)
            need -= repeats * held
            left -= repeats
        if left and strip is not fresh:
            yield replace(strip, repeats=left)


def _filled(
    strip: CutStrip, size: InStrips, index: int, taken: tuple[int, int], room: float
) -> CutStrip:
    count, repeats = taken
    used = strip.used + size.extent(count, room - strip.used)
    portions = (*strip.portions, StripPortion(index, count, strip.used))
    return CutStrip(strip.height, repeats, portions, used)
