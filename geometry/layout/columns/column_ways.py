"""Ways to fill a column of a given width with one kind of piece, row above row from below.

Widths and heights hold the gap after each piece, so that columns are simply added up.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from geometry.layout.effort import QUICK
from geometry.layout.fitting.fit import candidate_turns
from geometry.layout.fitting.holding_polygons import turned
from geometry.layout.item import Item
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.rows.row_patterns import distinct_turns, shape_of, turns_too
from geometry.layout.rows.row_units import Unit, units_of
from geometry.layout.rows.step_patterns import Steps, steps_of, tight_rows
from geometry.model.transform import Rigid

#: Most pieces beside each other in a column whose width is tried for them.
_BESIDE: Final = 3
#: Sizes that differ by less are the same, mm.
_SAME: Final = 1e-6


class ColumnWay(Protocol):
    """One way to fill a column."""

    def heights(self, counts: NDArray[np.int64]) -> Values:
        """Return the height that so many pieces take, mm."""

    def moves(self, count: int) -> list[Rigid]:
        """Return the places of so many pieces, from the column's lower left corner on."""


@dataclass(frozen=True)
class BoxRows:
    """Rows of upright boxes: those of one turn first, then those of another."""

    sizes: tuple[tuple[float, float, float], ...]
    each: tuple[int, ...]
    origins: tuple[tuple[float, float], ...]

    def _best(self, count: int) -> tuple[float, tuple[int, ...]]:
        """Return the least height of so many pieces, and the rows of each turn."""
        if len(self.sizes) == 1:
            rows = math.ceil(count / self.each[0])
            return rows * self.sizes[0][2], (rows,)
        ways = []
        for first in range(math.ceil(count / self.each[0]) + 1):
            rows = math.ceil(max(0, count - first * self.each[0]) / self.each[1])
            ways.append((first * self.sizes[0][2] + rows * self.sizes[1][2], (first, rows)))
        return min(ways)

    def heights(self, counts: NDArray[np.int64]) -> Values:
        """Return the height that so many pieces take, mm."""
        if len(self.sizes) == 1:
            alone: Values = np.ceil(counts / self.each[0]) * self.sizes[0][2]
            return alone
        first = np.arange(math.ceil(int(counts.max(initial=0)) / self.each[0]) + 1)
        rest = np.maximum(0, counts[:, None] - first * self.each[0])
        rows = np.ceil(rest / self.each[1])
        found: Values = (first * self.sizes[0][2] + rows * self.sizes[1][2]).min(axis=1)
        return found

    def moves(self, count: int) -> list[Rigid]:
        """Return the places of so many pieces, from the column's lower left corner on."""
        moves: list[Rigid] = []
        up = 0.0
        parts = zip(self._best(count)[1], self.sizes, self.each, self.origins, strict=True)
        for rows, (turn, wide, tall), each, (x, y) in parts:
            for _ in range(rows):
                moves.extend(Rigid(turn, at * wide - x, up - y) for at in range(each))
                up += tall
        return moves[:count]


@dataclass(frozen=True)
class SteppedColumn:
    """Rows of which some stand straight above each other and others half a period along."""

    steps: Steps
    gap: float

    def heights(self, counts: NDArray[np.int64]) -> Values:
        """Return the height that so many pieces take, mm."""
        found: Values = self.steps.heights(counts) + self.gap
        return found

    def moves(self, count: int) -> list[Rigid]:
        """Return the places of so many pieces, from the column's lower left corner on."""
        return self.steps.moves(count)


@dataclass(frozen=True)
class PairColumns:
    """Pieces and their half turns in turns, one above the other, in columns side by side.

    Attributes:
        unit: the pair, lying; it is turned a quarter about to stand.
        beside: how many columns there are.
        gap: least distance, mm.
    """

    unit: Unit
    beside: int
    gap: float

    @property
    def width(self) -> float:
        """Return the width of a single column, mm."""
        return self.unit.top - self.unit.bottom + self.gap

    def heights(self, counts: NDArray[np.int64]) -> Values:
        """Return the height that so many pieces take, mm."""
        rows = np.ceil(counts / self.beside).astype(int)
        ends = self._ends(int(rows.max()))
        found: Values = np.maximum.accumulate(ends)[rows - 1] - self._start + self.gap
        return found

    @property
    def _start(self) -> float:
        return min(each.x + each.outline.bounds.left for each in self.unit.members)

    def _ends(self, most: int) -> Values:
        size, period = len(self.unit.members), self.unit.period
        ends = [each.x + each.outline.bounds.right for each in self.unit.members]
        return np.array([ends[at % size] + at // size * period for at in range(most)])

    def moves(self, count: int) -> list[Rigid]:
        """Return the places of so many pieces, from the column's lower left corner on."""
        size, found = len(self.unit.members), []
        for number in range(count):
            row, column = divmod(number, self.beside)
            each = self.unit.members[row % size]
            along = each.x + row // size * self.unit.period - self._start
            x = self.unit.top - each.y + column * self.width
            found.append(Rigid((each.turn_deg + 90.0) % 360.0, x, along))
        return found


def column_ways(item: Item, width: float, gap: float) -> list[ColumnWay]:
    """Return the ways to fill a column of a width with one kind."""
    found: list[ColumnWay] = []
    boxes = [each for each in _sizes(item, gap) if each[1] <= width + SLACK]
    if boxes:
        each = tuple(math.floor((width + SLACK) / wide) for _, wide, _ in boxes)
        corners = [turned(item.outline, turn).bounds for turn, _, _ in boxes]
        origins = tuple((box.left, box.bottom) for box in corners)
        found.append(BoxRows(tuple(boxes), each, origins))
    found.extend(SteppedColumn(steps, gap) for steps in steps_of(item, width - gap, gap))
    for pairs in _pairs(item, gap):
        beside = math.floor((width + SLACK) / pairs.width)
        if beside:
            found.append(replace(pairs, beside=beside))
    return found


def natural_sizes(item: Item, gap: float) -> Iterator[float]:
    """Yield the widths of columns, and heights of lanes, that one kind fills."""
    for _, wide, tall in _sizes(item, gap):
        for side in (wide, tall):
            yield from (side * beside for beside in range(1, _BESIDE + 1))
    for tall, half in tight_rows(item, gap):
        yield from (tall + gap + more * half for more in range(_BESIDE + 1))
    for pairs in _pairs(item, gap):
        yield from (pairs.width * beside for beside in range(1, _BESIDE + 1))


@lru_cache(maxsize=256)
def _sizes(item: Item, gap: float) -> tuple[tuple[float, float, float], ...]:
    """Return the turns of a piece that lies and stands, with its box and the gap."""
    stated = item.stated_turns_deg
    found: list[tuple[float, float, float]] = []
    for turn in (0.0, 90.0) if stated is None else stated:
        box = turned(item.outline, turn).bounds
        wide, tall = box.width + gap, box.height + gap
        if not any(abs(wide - a) < _SAME and abs(tall - b) < _SAME for _, a, b in found):
            found.append((turn, wide, tall))
    return tuple(found[:2])


@lru_cache(maxsize=256)
def _pairs(item: Item, gap: float) -> tuple[PairColumns, ...]:
    """Return columns of a piece and its half turn, where that is closer than one by one."""
    shape = shape_of(item.outline, gap)
    if shape.symmetric or not (turns_too(item, 180.0) and turns_too(item, 90.0)):
        return ()
    found: list[PairColumns] = []
    for turn in distinct_turns(item, candidate_turns(item)[0], QUICK):
        for local in (turn, turn + 90.0):
            units = list(units_of(shape, local, half_turns=True))[1:2]
            found.extend(PairColumns(unit, 1, gap) for unit in units)
    best = sorted(found, key=lambda each: round(each.width * each.unit.period, 6))
    return tuple(best[:2])
