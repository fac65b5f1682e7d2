"""Yardage: fabric by the length, in whole strips of whole pieces at their real length.

Source:
    Count = floor(width / size) in a row, rows = ceil(count / per row): how printed charts count (15
    of 15 rows of a published fat-quarter table, 35 of 36 of a one-yard table). Charts that halve
    the number of a yard for the half yard are wrong, because rows must be whole.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.errors import GeometryError
from geometry.measure import area
from geometry.planning.cloth import Cut, Fabric, with_spoilage
from geometry.planning.shared_strips import InStrips, cut_strips
from geometry.planning.strip_filling import CutStrip, StripPortion
from geometry.planning.triangles import SharedRectangle
from geometry.planning.ways import Way, end_to_end_way, order_of, ways
from geometry.units import format_mm, round_up

#: Decimals of mm to which lengths are equal.
_DECIMALS = 6
#: Ways of one size that are tried, the shortest first: a shape may have one for each side.
_MAX_WAYS = 12


@dataclass(frozen=True)
class Rows:
    """One size of piece in strips across the fabric, cut in one way.

    Args:
        cut: the piece.
        count: of pieces to cut.
        per_row: pieces in a full strip.
        rows: strips that are cut for it; none where all pieces come from rests.
        length: of these strips, mm.
        way: how pieces are cut from strips.
        from_rests: pieces that are cut from what other sizes leave of their strips.
        index: of the piece among those of the fabric; it stands once for each way in which it is
            cut.
    """

    cut: Cut
    count: int
    per_row: int
    rows: int
    length: float
    way: Way
    from_rests: int = 0
    index: int = 0

    @property
    def turned(self) -> bool:
        """Return whether pieces lie otherwise than as drawn, or half a turn from it."""
        return self.way.is_turned

    @property
    def shared(self) -> SharedRectangle | None:
        """The rectangle that the strips consist of where pieces share one."""
        return self.way.shared


@dataclass(frozen=True)
class Purchase:
    """A length of fabric and what to buy for it, mm.

    ``length_before_wash`` includes shrinkage, ``buy`` is rounded up to whole steps, ``unused`` is
    the rest.
    """

    length: float
    length_before_wash: float
    buy: float
    unused: float


@dataclass(frozen=True)
class Yardage(Purchase):
    """The amount to buy of one fabric; ``length`` is that of the rows, ``strips`` are all rows."""

    rows: tuple[Rows, ...]
    strips: tuple[CutStrip, ...]


def purchase(length: float, fabric: Fabric) -> Purchase:
    """Return what to buy for a length of washed fabric, mm."""
    before = length / (1.0 - fabric.shrinkage)
    buy = round_up(before, fabric.step)
    return Purchase(length, before, buy, max(0.0, buy - before))


def check_fits(cut: Cut, fabric: Fabric) -> None:
    """Check that a piece fits across the fabric.

    Raises:
        GeometryError: when it is wider than the fabric.
    """
    _in_strips(cut, fabric, 0)


def _in_strips(cut: Cut, fabric: Fabric, index: int) -> InStrips:
    """Return a size with the ways to cut it, the one that takes the least fabric first."""
    count = with_spoilage(cut.count, fabric.spoilage)
    found: dict[tuple[object, ...], tuple[tuple[float, ...], Way]] = {}
    narrow = math.inf
    for way in _ways(cut, fabric, count):
        pattern = way.pattern
        narrow = min(narrow, pattern.width if way.shared is None else math.inf)
        if per_row := way.count(fabric.width):
            length = math.ceil(count / per_row) * pattern.height
            order = (round(length, _DECIMALS), *order_of(way))
            # A shape that looks alike on several of its sides lies alike on each.
            sizes = (pattern.height, pattern.width, *pattern.steps)
            alike = (*(round(each, _DECIMALS) for each in sizes), way.shared, pattern.is_alternate)
            if alike not in found or order < found[alike][0]:
                found[alike] = order, way
    if not found:
        raise GeometryError(
            f"A piece {format_mm(narrow)} mm wide does not fit across fabric that is "
            f"{format_mm(fabric.width)} mm wide.",
            where=(index,),
        )
    best = sorted(found.values(), key=lambda each: each[0])[:_MAX_WAYS]
    return InStrips(count, tuple(way for _, way in best))


def _ways(cut: Cut, fabric: Fabric, count: int) -> Iterator[Way]:
    """Yield the ways to cut a piece; of rectangles too long to lie across also two end to end.

    Common practice, no source: border strips are cut along the fabric, two of them from one where
    no more have room side by side.
    """
    outline = cut.cut_outline
    is_rectangle = math.isclose(area(outline), outline.bounds.width * outline.bounds.height)
    for way in ways(cut, fabric, fabric.width):
        yield way
        if is_rectangle and count > 1 and way.shared is None and way.pattern.height > fabric.width:
            yield end_to_end_way(way)


def yardage(cuts: Sequence[Cut], fabric: Fabric) -> Yardage:
    """Return the yardage of one fabric: strips of each size, one after another.

    A size is also cut from what others leave of their strips, and rectangles from strips of two
    widths, where all of them together take less then.

    Raises:
        GeometryError: when a piece is wider than the fabric; ``where`` is its index.
    """
    sizes = [_in_strips(cut, fabric, index) for index, cut in enumerate(cuts)]
    strips = cut_strips(sizes, fabric.width)
    rows = tuple(
        each for index, cut in enumerate(cuts) for each in _rows(cut, index, strips, fabric.width)
    )
    found = purchase(math.fsum(each.length for each in rows), fabric)
    return Yardage(found.length, found.length_before_wash, found.buy, found.unused, rows, strips)


def _rows(cut: Cut, index: int, strips: Sequence[CutStrip], width: float) -> list[Rows]:
    """Return how a size is cut: in each way, its own strips and the pieces from others' rests."""
    own: dict[Way, int] = {}
    count: dict[Way, int] = {}
    from_rests: dict[Way, int] = {}
    for portion, repeats, is_first in _portions(index, strips):
        way, pieces = portion.way, portion.count * repeats
        own[way] = own.get(way, 0) + (repeats if is_first else 0)
        count[way] = count.get(way, 0) + pieces
        from_rests[way] = from_rests.get(way, 0) + (0 if is_first else pieces)
    return [
        Rows(
            cut,
            count[way],
            way.count(width),
            own[way],
            own[way] * way.pattern.height,
            way,
            from_rests[way],
            index,
        )
        # Its own strips first, the widest of them before others.
        for way in sorted(own, key=lambda way: (not own[way], -way.pattern.height))
    ]


def _portions(index: int, strips: Sequence[CutStrip]) -> Iterator[tuple[StripPortion, int, bool]]:
    """Yield the portions of a size, how often each is cut, and whether a strip begins with it."""
    for strip in strips:
        for at, portion in enumerate(strip.portions):
            if portion.index == index:
                yield portion, strip.repeats, at == 0
