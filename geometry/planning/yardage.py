"""Yardage: fabric by the length, in whole strips of whole pieces at their real length.

Source:
    Count = floor(width / size) in a row, rows = ceil(count / per row): how printed charts count (15
    of 15 rows of a published fat-quarter table, 35 of 36 of a one-yard table). Charts that halve
    the number of a yard for the half yard are wrong, because rows must be whole.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from geometry.errors import GeometryError
from geometry.planning.cloth import Cut, Fabric
from geometry.planning.shared_strips import CutStrip, InStrips, cut_strips
from geometry.planning.strip_mix import StripKind, shortest_mix
from geometry.planning.strips import (
    StripPattern,
    TurnsDeg,
    box_pattern,
    strip_patterns,
)
from geometry.planning.triangles import SharedRectangle
from geometry.units import round_up

#: Tolerance of counts, relative to one piece.
_NEAR = 1e-9
#: What a size may exceed a ruler's mark by rounding, mm.
_ROUNDING = 1e-6


@dataclass(frozen=True)
class Way:
    """One way to cut a piece out of strips, by ruler.

    ``shared`` is the rectangle that the strips consist of where pieces share one; ``pattern`` is
    that of the rectangles then.
    """

    pattern: StripPattern
    shared: SharedRectangle | None = None

    def count(self, room: float) -> int:
        """Return how many pieces a strip of a length holds."""
        return self.pattern.count(room) * (1 if self.shared is None else self.shared.pieces)

    @property
    def is_turned(self) -> bool:
        """Return whether a piece lies otherwise than as drawn, or half a turn from it."""
        across = self.shared is not None and self.shared.needs_quarter_turn
        return across or not self.pattern.is_as_drawn


@dataclass(frozen=True)
class Rows:
    """One size of piece in strips across the fabric.

    Args:
        cut: the piece.
        count: of pieces to cut.
        per_row: pieces in a full strip.
        rows: strips that are cut for it.
        length: of these strips, mm.
        way: how pieces are cut from strips.
        from_rests: pieces that are cut from what other sizes leave of their strips.
        index: of the piece among those of the fabric; it stands twice where strips of two widths
            are cut for it.
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


def with_spoilage(count: int, spoilage: float) -> int:
    """Return the number to cut to get this many good ones."""
    return math.ceil(count * (1.0 + spoilage) - _NEAR)


def rows_of(cut: Cut, fabric: Fabric, *, index: int = 0) -> Rows:
    """Return the rows for one size of piece.

    Raises:
        GeometryError: when the piece is wider than the fabric.
    """
    found = _each_way(cut, fabric, index)
    return min(found, key=lambda each: (round(each.length, 6), *order_of(each.way)))


def _mixed_rows(cut: Cut, fabric: Fabric, index: int) -> list[Rows]:
    """Return the rows for one size of piece: in strips of two widths where those take less.

    Only pieces that are cut out of rectangles: a ruler is set to one width, then to the other.
    """
    best = rows_of(cut, fabric, index=index)
    boxes = [
        each
        for each in _each_way(cut, fabric, index)
        if each.way.pattern.is_box and each.shared is None
    ]
    kinds = [StripKind(each.way.pattern.height, each.per_row) for each in boxes]
    mix = shortest_mix(best.count, kinds)
    if mix is None or mix.length > best.length - _ROUNDING:
        return [best]
    both = [(boxes[mix.first], mix.firsts), (boxes[mix.second], mix.seconds)]
    # The wider strips are cut first, and are full.
    (wide, wides), (narrow, narrows) = sorted(both, key=lambda each: -each[0].way.pattern.height)
    held = wides * wide.per_row
    return [
        replace(wide, count=held, rows=wides, length=wides * wide.way.pattern.height),
        replace(
            narrow,
            count=best.count - held,
            rows=narrows,
            length=narrows * narrow.way.pattern.height,
        ),
    ]


def _each_way(cut: Cut, fabric: Fabric, index: int) -> list[Rows]:
    """Return the rows for one size of piece by each way to cut it.

    Raises:
        GeometryError: when the piece is wider than the fabric.
    """
    count = with_spoilage(cut.count, fabric.spoilage)
    found = []
    narrow = math.inf
    for way in ways(cut, fabric, fabric.width):
        narrow = min(narrow, way.pattern.width if way.shared is None else math.inf)
        per_row = way.count(fabric.width)
        if per_row:
            rows = math.ceil(count / per_row)
            length = rows * way.pattern.height
            found.append(Rows(cut, count, per_row, rows, length, way, index=index))
    if not found:
        raise GeometryError(
            f"A piece {narrow:.2f} mm wide does not fit across fabric that is "
            f"{fabric.width:.2f} mm wide.",
            where=(index,),
        )
    return found


def order_of(way: Way) -> tuple[bool, bool, bool]:
    """Return the order of ways that take as much fabric: the plainest to cut first."""
    return way.is_turned, way.shared is None, way.pattern.is_alternate


def ways(cut: Cut, fabric: Fabric, room: float, *, lengthwise: bool = False) -> Iterator[Way]:
    """Yield the ways to cut a piece from strips of a length.

    Args:
        cut: the piece.
        fabric: its print and its ruler are used.
        room: length of a strip.
        lengthwise: whether strips run along the fabric instead of across.
    """
    outline, turns = cut.cut_outline, fabric.turns_deg(cut)
    ahead = 90.0 if lengthwise else 0.0
    tried = None if turns is None else tuple((turn + ahead) % 360.0 for turn in turns)
    for pattern in strip_patterns(outline, tried):
        lying = replace(pattern, turn_deg=(pattern.turn_deg - ahead) % 360.0)
        yield Way(_by_ruler(lying, fabric, room))
    shared = cut.shared
    for turn in (0.0, 90.0):
        if shared is not None and _may_share(shared, turns, turn):
            sizes = shared.width, shared.length
            across, along = sizes if (turn == 0.0) != lengthwise else sizes[::-1]
            yield Way(_by_ruler(box_pattern(across, along, turn_deg=turn), fabric, room), shared)


def _by_ruler(pattern: StripPattern, fabric: Fabric, room: float) -> StripPattern:
    """Return the pattern with its strip, and pieces in it, rounded up to the ruler's marks.

    Pieces with a side on the strip's edge are cut across the whole strip and grow with it: a
    triangle from a strip of 2 1/8 in instead of 2.1036 in has sides that are longer by as much.
    """
    ruled = replace(pattern, height=fabric.by_ruler(pattern.height))
    if pattern.is_box:
        width = fabric.by_ruler(pattern.width)
        steps = (width, width)
    else:
        growth = ruled.height / pattern.height if pattern.is_cut_across else 1.0
        width = pattern.width * growth
        steps = (pattern.steps[0] * growth, pattern.steps[1] * growth)
    # A piece as wide as the fabric is not cut any wider.
    return ruled if width > room else replace(ruled, width=width, steps=steps)


def _may_share(shared: SharedRectangle, turns: TurnsDeg, turn: float) -> bool:
    """Return whether the grain lets pieces turn as far as their rectangle needs."""
    if turns is None:
        return True
    needed = [turn, turn + 180.0]
    if shared.needs_quarter_turn:
        needed = [0.0, 90.0, 180.0, 270.0]
    return all(each in turns for each in needed)


def yardage(cuts: Sequence[Cut], fabric: Fabric) -> Yardage:
    """Return the yardage of one fabric: strips of each size, one after another.

    A size is also cut from what longer ones leave of strips that are as wide, and rectangles from
    strips of two widths, where all of them together take less then.

    Raises:
        GeometryError: when a piece is wider than the fabric; ``where`` is its index.
    """
    plain = [rows_of(cut, fabric, index=index) for index, cut in enumerate(cuts)]
    mixed = [rows for index, cut in enumerate(cuts) for rows in _mixed_rows(cut, fabric, index)]
    # Strips of one width each are the plainer ones, where both take as much.
    found = [_in_turn(each, fabric) for each in ([plain] if mixed == plain else [plain, mixed])]
    return min(found, key=lambda each: round(each.length, 6))


def _in_turn(alone: Sequence[Rows], fabric: Fabric) -> Yardage:
    """Return the yardage of rows, with what longer pieces leave used for shorter ones."""
    strips = cut_strips([_in_strips(each) for each in alone], fabric.width)
    rows = tuple(_sharing(each, index, strips) for index, each in enumerate(alone))
    found = purchase(math.fsum(each.length for each in rows), fabric)
    return Yardage(found.length, found.length_before_wash, found.buy, found.unused, rows, strips)


def _in_strips(rows: Rows) -> InStrips:
    cell = 1 if rows.shared is None else rows.shared.pieces
    return InStrips(rows.count, rows.way.pattern, cell)


def _sharing(alone: Rows, index: int, strips: Sequence[CutStrip]) -> Rows:
    """Return the rows of a size that also uses what others leave."""
    begun = sum(each.repeats for each in strips if each.portions[0].index == index)
    from_rests = sum(
        portion.count * each.repeats
        for each in strips
        for portion in each.portions[1:]
        if portion.index == index
    )
    return replace(
        alone, rows=begun, length=begun * alone.way.pattern.height, from_rests=from_rests
    )
