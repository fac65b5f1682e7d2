"""Yardage: fabric by the length, in whole rows of whole pieces at their real length.

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
from geometry.units import MM_PER_INCH, round_up

#: Tolerance of fitting pieces in a row, relative to one piece.
_NEAR = 1e-9


@dataclass(frozen=True)
class SharedRectangle:
    """A rectangle of fabric, mm, that cuts along its diagonals part into equal pieces.

    One diagonal gives two, the second lying a half turn from the first. Both give four, and two of
    them lie across the grain.
    """

    width: float
    length: float
    pieces: int
    needs_quarter_turn: bool = False


@dataclass(frozen=True)
class Cut:
    """A cut piece including its seam allowance, mm.

    Args:
        width: across the fabric, from selvedge to selvedge.
        length: along the fabric.
        count: number needed.
        may_turn_across_grain: whether it may lie across the grain if that needs less fabric.
        shared: what several of it can be cut from, for a right triangle.
    """

    width: float
    length: float
    count: int
    may_turn_across_grain: bool = False
    shared: SharedRectangle | None = None


@dataclass(frozen=True)
class Fabric:
    """The fabric, mm.

    Args:
        width: usable, between the selvedges.
        step: the step in which the fabric is sold.
        shrinkage: share of its length lost by washing before cutting.
        spoilage: share of additional pieces cut.
        directional: whether its print has a top, so that pieces must not be rotated.
    """

    width: float = 40.0 * MM_PER_INCH
    step: float = 4.5 * MM_PER_INCH
    shrinkage: float = 0.0
    spoilage: float = 0.0
    directional: bool = False


@dataclass(frozen=True)
class Rows:
    """One size of piece in rows across the fabric; ``length`` is that of all rows, mm.

    ``shared`` is the rectangle that the rows consist of where pieces share one.
    """

    cut: Cut
    count: int
    per_row: int
    rows: int
    length: float
    turned: bool
    shared: SharedRectangle | None = None


@dataclass(frozen=True)
class Yardage:
    """The amount to buy of one fabric, mm.

    ``length`` is that of the rows, ``length_before_wash`` includes shrinkage, ``buy`` is rounded
    up to whole steps, ``unused`` is the rest.
    """

    rows: tuple[Rows, ...]
    length: float
    length_before_wash: float
    buy: float
    unused: float


def fits(room: float, size: float) -> int:
    """Return how many pieces of a size fit side by side."""
    return math.floor(room / size + _NEAR)


def with_spoilage(count: int, spoilage: float) -> int:
    """Return the number to cut to get this many good ones."""
    return math.ceil(count * (1.0 + spoilage) - _NEAR)


def rows_of(cut: Cut, fabric: Fabric, *, index: int = 0) -> Rows:
    """Return the rows for one size of piece.

    Raises:
        GeometryError: when the piece is wider than the fabric.
    """
    count = with_spoilage(cut.count, fabric.spoilage)
    ways = list(_ways(cut, fabric))
    found = []
    for across, along, is_turned, shared in ways:
        per_row = fits(fabric.width, across) * (1 if shared is None else shared.pieces)
        if per_row:
            rows = math.ceil(count / per_row)
            found.append(Rows(cut, count, per_row, rows, rows * along, is_turned, shared))
    if not found:
        narrow = min(across for across, _, _, shared in ways if shared is None)
        raise GeometryError(
            f"A piece {narrow:.2f} mm wide does not fit across fabric that is "
            f"{fabric.width:.2f} mm wide.",
            where=(index,),
        )
    return min(found, key=lambda each: (round(each.length, 6), each.turned, each.shared is None))


def _ways(cut: Cut, fabric: Fabric) -> Iterator[tuple[float, float, bool, SharedRectangle | None]]:
    """Yield what rows can consist of: its size across and along, whether turned, what is shared."""
    may_turn = cut.may_turn_across_grain and not fabric.directional
    yield cut.width, cut.length, False, None
    if may_turn:
        yield cut.length, cut.width, True, None
    shared = _usable(cut, fabric)
    if shared is not None:
        yield shared.width, shared.length, shared.needs_quarter_turn, shared
        if may_turn and not shared.needs_quarter_turn:
            yield shared.length, shared.width, True, shared


def _usable(cut: Cut, fabric: Fabric) -> SharedRectangle | None:
    """Return the rectangle that pieces share, if the grain lets them turn as far as it needs."""
    if cut.shared is None or fabric.directional:
        return None
    if cut.shared.needs_quarter_turn and not cut.may_turn_across_grain:
        return None
    return cut.shared


def yardage(cuts: Sequence[Cut], fabric: Fabric) -> Yardage:
    """Return the yardage of one fabric: each size in its own rows, one size after another.

    Raises:
        GeometryError: when a piece is wider than the fabric; ``where`` is its index.
    """
    rows = tuple(rows_of(cut, fabric, index=index) for index, cut in enumerate(cuts))
    length = math.fsum(each.length for each in rows)
    before = length / (1.0 - fabric.shrinkage)
    buy = round_up(before, fabric.step)
    return Yardage(rows, length, before, buy, max(0.0, buy - before))


@dataclass(frozen=True)
class PreCut:
    """Pre-cut fabric, mm, such as a fat quarter, a strip or a square."""

    name: str
    width: float
    length: float


@dataclass(frozen=True)
class FromPreCuts:
    """The pre-cut pieces for one size of piece; ``spare`` more pieces could be cut from them.

    ``shared`` is the rectangle cut from them where pieces share one.
    """

    cut: Cut
    count: int
    per_cut: int
    needed: int
    spare: int
    turned: bool
    shared: SharedRectangle | None = None


def per_sheet(
    cut: Cut, width: float, length: float, *, may_turn_across_grain: bool
) -> tuple[int, bool]:
    """Return how many pieces a rectangle of fabric holds in rows, and whether they are turned."""
    straight = fits(width, cut.width) * fits(length, cut.length)
    across = fits(width, cut.length) * fits(length, cut.width) if may_turn_across_grain else 0
    return (across, True) if across > straight else (straight, False)


def from_pre_cuts(cut: Cut, pre_cut: PreCut, fabric: Fabric, *, index: int = 0) -> FromPreCuts:
    """Return the pre-cut pieces of fabric for one size of piece.

    Raises:
        GeometryError: when a piece is larger than the pre-cut piece.
    """
    may_turn_across_grain = cut.may_turn_across_grain and not fabric.directional
    length = pre_cut.length * (1.0 - fabric.shrinkage)
    each, is_turned = per_sheet(
        cut, pre_cut.width, length, may_turn_across_grain=may_turn_across_grain
    )
    shared = _usable(cut, fabric)
    if shared is not None:
        rectangles, across = per_sheet(
            Cut(shared.width, shared.length, cut.count),
            pre_cut.width,
            length,
            may_turn_across_grain=may_turn_across_grain,
        )
        if rectangles * shared.pieces > each:
            each, is_turned = rectangles * shared.pieces, across or shared.needs_quarter_turn
        else:
            shared = None
    if not each:
        raise GeometryError(
            f"A piece of {cut.width:.2f} by {cut.length:.2f} mm does not fit in a {pre_cut.name} "
            f"of {pre_cut.width:.2f} by {pre_cut.length:.2f} mm.",
            where=(index,),
        )
    count = with_spoilage(cut.count, fabric.spoilage)
    needed = math.ceil(count / each)
    return FromPreCuts(cut, count, each, needed, needed * each - count, is_turned, shared)


def half_square_add(allowance: float) -> float:
    """Return the addition to a half-square triangle's finished side for its cut square, mm.

    Source:
        a (2 + sqrt 2): 0.8536 in at 1/4 in, which the trade rounds up to 7/8. Derived.
    """
    return allowance * (2.0 + math.sqrt(2.0))


def quarter_square_add(allowance: float) -> float:
    """Return the addition to a quarter-square triangle's finished base for its cut square, mm.

    Source:
        2 a (1 + sqrt 2): 1.2071 in at 1/4 in, which the trade rounds up to 1 1/4. Derived.
    """
    return 2.0 * allowance * (1.0 + math.sqrt(2.0))


def on_point_corner(block: float, allowance: float, step: float) -> float:
    """Return the square for two corner triangles of blocks set on point, mm.

    Args:
        block: the block's finished side.
        allowance: of the seams.
        step: the square is rounded up to this step.

    Source:
        The corner's short side is block / sqrt 2; a published handout gives block / 1.414 + 7/8.
    """
    return round_up(block / math.sqrt(2.0) + half_square_add(allowance), step)
