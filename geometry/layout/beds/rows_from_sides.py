"""Rows in a bed that is no rectangle, begun as near to one of its sides as so many pieces go.

They leave most of the bed free where few pieces are laid. From below and from above; rows that are
turned by a quarter begin at the other two sides.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence

import numpy as np

from geometry.layout.beds.bed_rows import BedRows, Level, in_order, repeat_of
from geometry.layout.beds.chords import Chords, Values, best_phase, longest_cuts
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.fitting.inner_fit import HAIR
from geometry.layout.rows.row_units import Unit, UnitShape
from geometry.layout.rows.stacks import Stack

#: Heights among which the first with a long enough chord is sought, and how often between two.
_GRID, _REFINEMENTS = 48, 3
#: Parts of what a chord leaves over by which a row is moved along.
_ALONG = (0.0, 0.5, 1.0)
#: Rows below a row that may stand in its way.
_ROWS_BELOW = 3
#: Pieces in a row whose heights are found at once.
_MOST_AT_ONCE = 12


def from_sides(bed: BedRows, unit: Unit, gap: float, count: int) -> Iterator[list[Placed]]:
    """Yield rows of a single piece that begin as near to a side as 1, 2, 3 ... of it go.

    Straight rows follow until all are laid.
    """
    first, last = bed.extent(unit)
    if len(unit.members) > 1 or math.isinf(first):
        return
    up = unit.top - unit.bottom + gap
    for start, way in _begun([(unit, 0.0, 0.0)], bed, count, flush=False):
        rows = math.floor((last - start if way > 0 else start - first) / up + HAIR) + 1
        heights = start + way * up * np.arange(min(rows, count), dtype=np.float64)
        found = bed.chords_at(unit, heights)
        placed: list[Placed] = []
        for y, chords in zip(heights.tolist(), found, strict=True):
            if len(placed) < count:
                placed.extend(bed.row(unit, chords.fullest(unit), 0.0, y))
        yield in_order(placed)


def closed_up(bed: BedRows, unit: Unit, shape: UnitShape, count: int) -> Iterator[list[Placed]]:
    """Yield rows as ``from_sides`` does, each moved along so that it lies close to those before it.

    A row is moved by a part of what its chord leaves over.
    """
    first, last = bed.extent(unit)
    if len(unit.members) > 1 or math.isinf(first):
        return
    for start, way in _begun([(unit, 0.0, 0.0)], bed, count, flush=False):
        for along in _ALONG:
            rows: list[tuple[float, Values]] = []
            y, held = start, 0
            while held < count and first - HAIR <= y <= last + HAIR:
                ways = _moved_along(bed, unit, y)
                if not ways:
                    break
                if not rows:
                    rows.append((y, ways[_ALONG.index(along)]))
                else:
                    rows.append(_closest(bed, unit, shape, rows, ways, way, y))
                held += len(rows[-1][1])
                y = rows[-1][0] + way * (unit.top - unit.bottom + shape.gap)
            if held >= count:
                spots = ((at, [(0, x) for x in row.tolist()]) for at, row in rows)
                yield in_order([each for at, row in spots for each in bed.row(unit, row, 0.0, at)])


def _moved_along(bed: BedRows, unit: Unit, y: float) -> list[Values]:
    """Return the places of a row at a height, moved along its longest chord by each part."""
    (chords,) = bed.chords_at(unit, np.array([y]))
    if not len(chords.start):
        return []
    at = int(np.argmax(chords.end - chords.start))
    low, length = float(chords.start[at]), float(chords.end[at] - chords.start[at])
    more = math.floor(length / unit.period + HAIR)
    copies: Values = unit.period * np.arange(more + 1, dtype=np.float64)
    over = max(0.0, length - float(copies[-1]))
    return [low + part * over + copies for part in _ALONG]


def _closest(
    bed: BedRows,
    unit: Unit,
    shape: UnitShape,
    rows: Sequence[tuple[float, Values]],
    ways: Sequence[Values],
    way: float,
    free: float,
) -> tuple[float, Values]:
    """Return the next row, at the height nearest to the side at which it keeps clear of the others.

    ``free`` is the height at which it does so wherever it is moved.
    """
    turn = unit.members[0].turn_deg
    above = shape.above(turn, turn)
    found = (free, ways[0])
    for places in ways:
        y = -math.inf
        for below, xs in rows[-_ROWS_BELOW:]:
            apart = way * (places[:, None] - xs[None, :])
            y = max(y, way * below + float(above.at(apart.ravel()).max()))
        (chords,) = bed.chords_at(unit, np.array([way * y]))
        if y < way * found[0] - HAIR and _within(chords, places):
            found = (way * y, places)
    return found


def _within(chords: Chords, places: Values) -> bool:
    """Return whether pieces lie on the chords of a height."""
    on = (chords.start - HAIR <= places[:, None]) & (places[:, None] <= chords.end + HAIR)
    return bool(on.any(axis=1).all())


def stacked_from_sides(bed: BedRows, stack: Stack, count: int) -> Iterator[list[Placed]]:
    """Yield the fewest rows of a stack that hold so many, one of them at a side or near it.

    All rows lie at the phase at which these hold most.
    """
    rows, along, up = repeat_of(stack)
    if up <= HAIR:
        return
    begun = list(_begun(rows, bed, count, flush=True))
    found = bed.levels_at(rows, along, up, [low for low, _ in begun])
    for (_, way), each in zip(begun, found, strict=True):
        levels = sorted(each, key=lambda level: way * level[0][2])
        held = _fewest(levels, stack.first.period, count)
        if held is not None:
            number, phase = held
            yield in_order(list(bed.placed(levels[:number], phase)))


def flush_with_sides(bed: BedRows, stack: Stack, count: int) -> Iterator[list[Placed]]:
    """Yield the rows of a stack that begin at a side and hold so many, from below and from above.

    Of the rows of the stack that may lie at the side, the one with which they end first does.
    """
    rows, along, up = repeat_of(stack)
    if up <= HAIR:
        return
    for way in (1.0, -1.0):
        least, best, at = math.inf, list[Level](), 0.0
        for unit, _, y in rows:
            first, last = bed.extent(unit)
            if math.isinf(first):
                continue
            low = (first if way > 0.0 else last) - y
            levels = sorted(bed.levels(rows, along, up, low), key=lambda level: way * level[0][2])
            held = _fewest(levels, stack.first.period, count)
            if held is not None:
                number, phase = held
                end = max(_end(level, way) for level in levels[:number])
                if end < least:
                    least, best, at = end, levels[:number], phase
        if best:
            yield in_order(list(bed.placed(best, at)))


def _end(level: Level, way: float) -> float:
    """Return how far a row reaches, upwards or, for a ``way`` of -1, downwards."""
    (unit, _, y), _ = level
    return y + unit.top if way > 0.0 else -(y + unit.bottom)


def _fewest(levels: Sequence[Level], period: float, count: int) -> tuple[int, float] | None:
    """Return how many of the first rows hold so many pieces at one phase, and that phase."""
    found: dict[int, tuple[int, float]] = {}

    def held(number: int) -> int:
        start = np.concatenate([chords.start for _, chords in levels[:number]])
        end = np.concatenate([chords.end for _, chords in levels[:number]])
        found[number] = best_phase(start, end, period)
        return found[number][0]

    # More rows never hold fewer.
    fewest = 1 + bisect_left(range(1, len(levels) + 1), count, key=held)
    return (fewest, found[fewest][1]) if fewest <= len(levels) else None


def _begun(
    rows: Sequence[tuple[Unit, float, float]], bed: BedRows, count: int, *, flush: bool
) -> Iterator[tuple[float, float]]:
    """Yield heights of the first row so that one of the rows is where 1, 2, 3 ... pieces of it go.

    Each with 1 for rows that follow upwards, or -1. ``flush`` adds rows at the sides themselves.
    """
    for unit, _, y in rows:
        first, last = bed.extent(unit)
        if math.isinf(first):
            continue
        for way in (1.0, -1.0):
            if flush:
                yield (first if way > 0.0 else last) - y, way
            if len(unit.members) == 1:
                for start in _nearest(bed, unit, way, count):
                    yield start - y, way


def _nearest(bed: BedRows, unit: Unit, way: float, count: int) -> list[float]:
    """Return the first heights from a side at which a chord holds 1, 2, 3 ... of a piece."""
    most, heights = bed.nearest.get((unit, way), (0, np.empty(0)))
    if most < count:
        # What holds fewer is found with what holds more.
        most = max(count, _MOST_AT_ONCE)
        heights = _nearest_heights(bed, unit, way, most)
        bed.nearest[unit, way] = most, heights
    return sorted(set(np.round(heights[:count], 9).tolist()))


def _nearest_heights(bed: BedRows, unit: Unit, way: float, count: int) -> Values:
    """Return those heights in the order of the pieces, as many as there are."""
    first, last = bed.extent(unit)
    grid = np.linspace(first, last, _GRID)[:: int(way)]
    needed: Values = unit.period * np.arange(count, dtype=np.float64) - HAIR
    long = _longest(bed, unit, grid)[:, None] >= needed
    at = long.argmax(axis=0)[long.any(axis=0)]
    before: Values = grid[np.maximum(at - 1, 0)]
    after: Values = grid[at]
    for _ in range(_REFINEMENTS):
        between = before[:, None] + (after - before)[:, None] * np.linspace(0.0, 1.0, _GRID)
        length = _longest(bed, unit, between.ravel()).reshape(between.shape)
        at = (length >= needed[: len(between), None]).argmax(axis=1)
        row = np.arange(len(between))
        before, after = between[row, np.maximum(at - 1, 0)], between[row, at]
    return after


def _longest(bed: BedRows, unit: Unit, heights: Values) -> Values:
    (member,) = unit.members
    return longest_cuts(bed.region(member.turn_deg), heights + member.y)
