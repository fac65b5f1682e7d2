"""Rows that use the whole width of a strip, for so many pieces of one kind.

Pieces farther apart in their rows let the next row lie lower between them: rows of five in place
of six may need no more rows, and each rises less. And where a straight row leaves part of the
width over, a row whose pieces stand higher and lower in turn holds one piece more.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TypeVar

import numpy as np

from geometry.layout.fitting.holding_polygons import holding_polygon, is_held_convex
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_patterns import Patterns
from geometry.layout.rows.row_units import Unit, UnitShape, repeated
from geometry.layout.rows.rows_turned_about import turned_about
from geometry.layout.rows.stacks import stacks
from geometry.measure import area

_Key = TypeVar("_Key")
#: Rows may be so many times as loose as they can be close: farther apart a row falls through the
#: one below it.
_LOOSEST = 2.2
#: Offsets at which a row's height above the one below is looked at, over one period.
_OFFSETS = 49
#: Pieces above which rows are not spread: what they gain is spread over too many.
_MAX_PIECES = 130
#: Straight rows are measured at turns so many degrees apart, and at so many between the two beside
#: the lowest. Those stay so far within the width, mm.
_TURN_STEP, _FINER, _CLEAR = 1.0, 201, 1.0e-4
_HALF_TURN = 180.0
#: Rows are so many times as high at the coarse turns as at the best one, or less.
_COARSELY = 1.02
#: Share of a period by which a whole number of them may be short from rounding.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class LooseRows:
    """A unit whose rows use a width to its end.

    ``height`` is about the least height, mm, of rows that hold the pieces wanted; ``is_about`` says
    that every other piece of a row is turned by half a turn.
    """

    height: float
    unit: Unit
    is_about: bool = False

    @cached_property
    def period_key(self) -> float:
        """The period of the rows; those for which it is the same are alike, mm."""
        return round(self.unit.period, 6)

    def patterns(self, shape: UnitShape, *, half_turns: bool) -> Patterns:
        """Return ways to stack its rows that do not fall through each other."""
        return _patterns(shape, self.unit, half_turns)


def lowest(rows: Sequence[tuple[_Key, LooseRows]], most: int) -> list[tuple[_Key, LooseRows]]:
    """Return the first of ordered rows, at most so many; as many turned about come on top."""
    found = []
    for is_about in (False, True):
        found += [each for each in rows if each[1].is_about is is_about][:most]
    return found


@lru_cache(maxsize=512)
def _patterns(shape: UnitShape, unit: Unit, half_turns: bool) -> Patterns:  # noqa: FBT001 - one caller
    """Return ways to stack rows, made once for all stages."""
    found = stacks(shape, unit, half_turns=half_turns)
    return Patterns(
        tuple(stack for stack in found if all(math.isfinite(step.dy) for step in stack.steps))
    )


@lru_cache(maxsize=512)
def loose_rows(
    shape: UnitShape, turn: float, width: float, count: int, *, half_turns: bool
) -> tuple[LooseRows, ...]:
    """Return rows at one turn that use a width to its end, for each number of rows the loosest.

    Args:
        shape: of the pieces.
        turn: of the pieces, degrees.
        width: of the strip across which the rows run, mm.
        count: how many pieces the rows shall hold together.
        half_turns: whether every other row may be turned by half a turn.
    """
    single = _single(shape, turn)
    spare = width - single.members[0].outline.bounds.width
    if spare <= 0.0 or count > _MAX_PIECES:
        return ()
    half = half_turns and not shape.symmetric
    about = turned_about(shape, single, width, count) if half else ()
    return (
        *_spread(shape, single, spare, count, half_turns=half_turns),
        *_raised(shape, single, spare, count),
        *(LooseRows(*rows, is_about=True) for rows in about),
    )


def _spread(
    shape: UnitShape, single: Unit, spare: float, count: int, *, half_turns: bool
) -> Iterator[LooseRows]:
    """Yield rows with fewer pieces than they could hold, spread over the width."""
    (member,) = single.members
    most = math.floor(2.0 * spare / single.period * (1.0 + _ROUNDING)) / 2.0
    loosest: dict[int, float] = {}
    periods = most
    while periods > 0.0 and periods * single.period * _LOOSEST >= spare:
        # Half a period more than whole ones: every row holds as many; else every other one less.
        rows = _rows_of(math.floor(periods) + 1, math.ceil(periods), count)
        if rows > 1:
            loosest[rows] = periods
        periods -= 0.5
    found = [
        (rows, spare / periods)
        for rows, periods in loosest.items()
        if spare / periods > single.period * (1.0 + _ROUNDING)
    ]
    if not found:
        return
    periods_mm = np.array([period for _, period in found])
    turns = [member.turn_deg]
    if half_turns and not shape.symmetric:
        turns.append((member.turn_deg + 180.0) % 360.0)
    rises = np.minimum.reduce(
        [_least_rises(shape, member.turn_deg, other, periods_mm) for other in turns]
    )
    tall = member.outline.bounds.height
    for (rows, period), rise in zip(found, rises.tolist(), strict=True):
        if rise > 0.0:
            unit = Unit(single.members, period, spread=True)
            yield LooseRows(tall + (rows - 1) * rise, unit)


def _rows_of(one: int, other: int, count: int) -> int:
    """Return how many rows hold so many pieces when they hold one and another number in turn."""
    pairs, rest = divmod(count, max(one + other, 1))
    return 2 * pairs + (0 if not rest else 1 if rest <= max(one, other) else 2)


def _least_rises(shape: UnitShape, turn: float, other: float, periods: Values) -> Values:
    """Return about how high each of many rows lies above the one below it, for each period.

    The least of several offsets. The row after the next is turned as the first and lies straight
    above it, or twice the offset along: it keeps clear of the first as well.
    """
    offsets = periods[:, None] * np.linspace(0.0, 1.0, _OFFSETS)
    next_but_one = np.minimum(
        _rises(shape, turn, turn, periods, np.zeros((len(periods), 1))),
        _rises(shape, turn, turn, periods, 2.0 * offsets),
    )
    rises = np.maximum(_rises(shape, turn, other, periods, offsets), next_but_one / 2.0)
    least: Values = rises.min(axis=1)
    return least


def _rises(shape: UnitShape, turn: float, other: float, periods: Values, offsets: Values) -> Values:
    """Return how high a row lies above another, for periods in lines and offsets in columns."""
    above = shape.above(turn, other)
    base = (offsets - above.low) % periods[:, None] + above.low
    copies = np.arange(math.ceil((above.high - above.low) / float(periods.min())))
    places = base[:, :, None] + periods[:, None, None] * copies
    rises: Values = above.at(places.ravel()).reshape(places.shape).max(axis=2)
    return rises


def _raised(shape: UnitShape, single: Unit, spare: float, count: int) -> Iterator[LooseRows]:
    """Yield rows with more pieces than straight ones hold, every other piece raised."""
    (member,) = single.members
    held = math.floor(spare / single.period * (1.0 + _ROUNDING)) + 1
    above = shape.above(member.turn_deg, member.turn_deg)
    tall = member.outline.bounds.height
    seen = set()
    for columns in range(held + 1, min(2 * held + 1, count) + 1):
        rows = math.ceil(count / columns)
        apart = spare / (columns - 1)
        if rows in seen or 2.0 * apart < single.period:
            continue
        seen.add(rows)
        # Slanted pieces reach past their neighbours.
        far = math.ceil(max(above.high, -above.low) / apart)
        rise = float(above.at(apart * np.arange(-far | 1, far + 1, 2.0)).max())
        if 0.0 < rise < tall:
            raised = shape.at(member.turn_deg, apart, rise)
            unit = Unit((member, raised), 2.0 * apart, spread=True)
            # A raised piece may stand in the way of the row above more than the piece below does.
            up = max(tall, 2.0 * rise)
            yield LooseRows(rise + tall + (rows - 1) * up, unit)


def turned_rows(shape: UnitShape, width: float, count: int, limit: float) -> Iterator[LooseRows]:
    """Yield straight rows at turns that let them use a width to its end, the lowest first.

    A slanted piece takes less of a row the more it is turned, and stands higher: of all turns at
    which so many pieces are as long as the width, the lowest is taken for each number of rows.
    Those that are no lower than a limit, mm, are left out.
    """
    if count > _MAX_PIECES or not is_held_convex(shape.outline):
        return
    for rows, held, height, turn in _coarsely_lowest(shape, width, count):
        if height < _COARSELY * limit:
            found = _finely_lowest(shape, width, rows, held, turn)
            if found is not None and found[0] < limit:
                yield LooseRows(found[0], _single(shape, found[1]))


@lru_cache(maxsize=512)
def _coarsely_lowest(
    shape: UnitShape, width: float, count: int
) -> tuple[tuple[int, int, float, float], ...]:
    """Return numbers of rows, pieces to a row, and about the least height and the turn for it."""
    coarse = np.arange(0.0, _HALF_TURN, _TURN_STEP)
    period, wide, tall = _coarse_sizes(shape)
    # The fewest pieces to a row for each number of rows.
    held_by = {math.ceil(count / held): held for held in range(count, 1, -1)}
    rows_of, held_of = (np.array(each)[::-1, None] for each in (list(held_by), [*held_by.values()]))
    fits = (held_of - 1) * period + wide <= width
    heights = np.where(fits, tall + (rows_of - 1) * (area(shape.outline) / period), np.inf)
    least = heights.min(axis=1, initial=np.inf).tolist()
    turns = coarse[heights.argmin(axis=1)].tolist()
    rows, held = rows_of[:, 0].tolist(), held_of[:, 0].tolist()
    return tuple(each for each in zip(rows, held, least, turns, strict=True) if each[2] < np.inf)


@lru_cache(maxsize=512)
def _finely_lowest(
    shape: UnitShape, width: float, rows: int, held: int, turn: float
) -> tuple[float, float] | None:
    """Return the least height near a turn, and the turn for it; ``None`` where no row fits."""
    fine = turn + _TURN_STEP * np.linspace(-1.0, 1.0, _FINER)
    period, wide, tall = _fine_sizes(shape, turn)
    fits = (held - 1) * period + wide <= width - _CLEAR
    heights = tall + (rows - 1) * area(shape.outline) / period
    at = int(np.where(fits, heights, np.inf).argmin())
    return (float(heights[at]), round(float(fine[at]), 6) % 360.0) if fits[at] else None


@lru_cache(maxsize=512)
def _single(shape: UnitShape, turn: float) -> Unit:
    """Return single pieces at a turn, as close as they go."""
    return repeated(shape, (shape.at(turn),))


@lru_cache(maxsize=64)
def _coarse_sizes(shape: UnitShape) -> tuple[Values, Values, Values]:
    """Return the sizes at turns over half a turn."""
    return _turned_sizes(shape, np.arange(0.0, _HALF_TURN, _TURN_STEP))


@lru_cache(maxsize=512)
def _fine_sizes(shape: UnitShape, turn: float) -> tuple[Values, Values, Values]:
    """Return the sizes at turns near one."""
    return _turned_sizes(shape, turn + _TURN_STEP * np.linspace(-1.0, 1.0, _FINER))


def _turned_sizes(shape: UnitShape, turns: Values) -> tuple[Values, Values, Values]:
    """Return the period of a row of single pieces, and a piece's width and height, at each turn."""
    ring, piece = shape.ring(0.0, 0.0), holding_polygon(shape.outline)
    angles = np.radians(turns)
    cos, sin = np.cos(angles)[:, None], np.sin(angles)[:, None]
    x, y = cos * piece[:, 0] - sin * piece[:, 1], sin * piece[:, 0] + cos * piece[:, 1]
    # Seen from a turned piece, the next one lies the other way round: where that leaves its ring.
    one, two = ring[:-1], ring[1:]
    edges = two - one
    out = np.column_stack([edges[:, 1], -edges[:, 0]])
    reach = (out * one).sum(axis=1)
    toward = cos * out[:, 0] - sin * out[:, 1]
    with np.errstate(divide="ignore"):
        period = np.where(toward > 0.0, reach / toward, np.inf).min(axis=1)
    return period, x.max(axis=1) - x.min(axis=1), y.max(axis=1) - y.min(axis=1)
