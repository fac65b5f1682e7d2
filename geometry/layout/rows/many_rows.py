"""Many patterns of rows laid at once, for what is to be measured of them all."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.rows.stacks import Stack
from geometry.tolerance import LAYOUT_ACCURACY

#: Places looked at together, for all patterns and phases: more take much memory and no less time.
_MOST_TOGETHER = 50_000
#: Rows of a pattern of which a piece may lie flush with a side.
_FLUSH = 3
#: Pieces are equally wide if their widths differ by no more, mm.
_SAME = 1e-9


@dataclass(frozen=True)
class Series:
    """Rows of each pattern, from one kind of row on: a column for each piece of each row.

    ``here`` says which there are; ``number`` how many those are.
    """

    x: Values
    left: Values
    right: Values
    end: Values
    here: NDArray[np.bool_]
    number: NDArray[np.int64]


class ManyRows:
    """Patterns of rows whose units have equally many pieces.

    Attributes:
        members: pieces of a unit.
        period: of the rows of each pattern, mm.
    """

    def __init__(self, stacks: Sequence[Stack]) -> None:
        units = {id(unit): unit for each in stacks for unit in (each.first, each.other)}
        at = {key: number for number, key in enumerate(units)}
        self.members = len(stacks[0].first.members)
        self._kinds = np.array([(at[id(each.first)], at[id(each.other)]) for each in stacks])
        self._steps = np.array(
            [((one.dx, one.dy), (two.dx, two.dy)) for one, two in (each.steps for each in stacks)]
        )
        # Of each unit once: many patterns share it.
        self._boxes = np.array([unit.boxes for unit in units.values()])
        self._ends = np.array([(unit.bottom, unit.top) for unit in units.values()])
        self._period = np.array([unit.period for unit in units.values()])
        self.period = self._period[self._kinds[:, 0]]
        self._laid: dict[bool, tuple[LaidRows, NDArray[np.int64], NDArray[np.int64]]] = {}

    def with_each_first(
        self,
        measured: Callable[..., Values],
        heights: Values,
        *by: Values,
        most: Values | None = None,
        along: bool = False,
    ) -> tuple[Values, Values]:
        """Return what is measured with one and with the other kind of row first.

        Args:
            measured: is given laid rows, the series of them below a height, and what it takes
                besides.
            heights: below which rows lie.
            by: what ``measured`` takes besides, for each pattern.
            most: rows that are enough.
            along: whether only that counts how far pieces lie along their rows.
        """
        if along not in self._laid:
            self._laid[along] = self._lay(along=along)
        laid, differ, every = self._laid[along]
        count = len(self.period)
        enough = None if most is None else most[every]
        found = laid.sliced(measured, heights[every], [each[every] for each in by], enough)
        other = found[:count].copy()
        other[differ] = found[count:]
        return found[:count], other

    def _lay(self, *, along: bool) -> tuple[LaidRows, NDArray[np.int64], NDArray[np.int64]]:
        """Return all patterns, then those for which it matters with the other kind of row first.

        With them the numbers of the latter, and of all in this order.
        """
        differ = self._differing(along=along)
        every = np.concatenate([np.arange(len(self.period)), differ])
        kinds = np.concatenate([self._kinds, self._kinds[differ, ::-1]])
        steps = np.concatenate([self._steps, self._steps[differ, ::-1]])
        x, y, left, right, top = self._boxes[kinds].transpose(3, 0, 1, 2)
        ends, period = self._ends[kinds], self.period[every]
        laid = LaidRows(
            x, y, left, right, top, period, steps[:, :, 0], steps[:, :, 1], ends[:, :, 0],
            ends[:, :, 1],
        )  # fmt: skip
        return laid, differ, every

    def _differing(self, *, along: bool) -> NDArray[np.int64]:
        """Return the patterns for which it matters which kind of row comes first.

        Not of single pieces of one kind whose rows are equally far apart: across a strip they are
        then as seen in a mirror.
        """
        if self.members > 1:
            return np.arange(len(self.period))
        same = (self._kinds[:, 0] == self._kinds[:, 1]) & (
            self._steps[:, 0, 1] == self._steps[:, 1, 1]
        )
        if along:
            same &= self._steps[:, 0, 0] == self._steps[:, 1, 0]
        return np.flatnonzero(~same)


@dataclass(frozen=True, eq=False)
class LaidRows:
    """Patterns with one kind of row first; an entry of each array for each pattern.

    Shape:
        Pieces' arrays: pattern, kind of row, piece of its unit. Others: pattern, kind of row.

    Units:
        mm.
    """

    x: Values
    y: Values
    left: Values
    right: Values
    top: Values
    period: Values
    dx: Values
    dy: Values
    bottoms: Values
    tops: Values

    def sliced(
        self,
        measured: Callable[..., Values],
        heights: Values,
        by: Sequence[Values],
        most: Values | None,
    ) -> Values:
        """Return what is measured of all patterns, of so many at a time as take little memory."""
        number = self._rows(heights)
        if most is not None:
            number = np.minimum(number, most.astype(np.int64))
        members = self.x.shape[2]
        step = max(1, _MOST_TOGETHER // (max(1, int(number.max())) * 2 * _FLUSH * members**2))
        if step >= len(number):
            return measured(self, self.series(number), *by)
        found = []
        for at in range(0, len(number), step):
            part = np.arange(at, min(at + step, len(number)))
            rows = self._of(part)
            found.append(measured(rows, rows.series(number[part]), *(each[part] for each in by)))
        return np.concatenate(found)

    def _of(self, part: NDArray[np.int64]) -> LaidRows:
        return LaidRows(
            self.x[part], self.y[part], self.left[part], self.right[part], self.top[part],
            self.period[part], self.dx[part], self.dy[part], self.bottoms[part], self.tops[part],
        )  # fmt: skip

    def _rows(self, heights: Values) -> NDArray[np.int64]:
        """Return how many rows of each pattern fit below a height."""
        base, rise, back = -self.bottoms[:, 0], self.dy[:, 0], self.dy[:, 1]
        spare = heights + SLACK - base - self.tops[:, 0]
        above = heights + SLACK - base - self.tops[:, 1] - rise
        stacked = (rise > LAYOUT_ACCURACY) & (back > LAYOUT_ACCURACY)
        cycle = np.where(stacked, rise + back, np.inf)
        count = np.minimum(2.0 * np.floor(spare / cycle) + 2.0, 2.0 * np.floor(above / cycle) + 3.0)
        count = np.where(back <= LAYOUT_ACCURACY, 2.0, count)
        count = np.where(above < 0.0, 1.0, count)
        # The other kind of row may hang lower than the first.
        count = np.where(base + rise + self.bottoms[:, 1] < -SLACK, 0.0, count)
        count = np.where(rise <= LAYOUT_ACCURACY, 1.0, count)
        number: NDArray[np.int64] = np.where(spare < 0.0, 0.0, count).astype(np.int64)
        return number

    def series(self, number: NDArray[np.int64]) -> Series:
        """Return so many rows of each pattern, before any phase."""
        lines = np.arange(max(1, int(number.max())))
        kind, turn, odd = lines % 2, lines // 2, lines % 2
        run, rise = self.dx[:, :1], self.dy[:, :1]
        x = turn * (run + self.dx[:, 1:]) + odd * run
        y = -self.bottoms[:, :1] + turn * (rise + self.dy[:, 1:]) + odd * rise
        shape = (len(x), -1)
        here = np.repeat(lines < number[:, None], self.x.shape[2], axis=1)
        return Series(
            (x[:, :, None] + self.x[:, kind]).reshape(shape),
            self.left[:, kind].reshape(shape),
            self.right[:, kind].reshape(shape),
            (y[:, :, None] + self.y[:, kind] + self.top[:, kind]).reshape(shape),
            here,
            number * self.x.shape[2],
        )

    def _phases(self, series: Series, flush: Iterable[Values]) -> Values:
        """Return the phases that bring a piece of one of the first rows flush with a side."""
        first, period = _FLUSH * self.x.shape[2], self.period[:, None]
        here = series.here[:, :first]
        found = [np.where(here, each[:, :first], each[:, :1]) % period for each in flush]
        phases: Values = np.concatenate(found, axis=1).round(9)
        return phases[:, :, None]

    def held(self, series: Series, width: Values) -> Values:
        """Return how many copies of each piece lie within a width, at every phase."""
        wide, period = width[:, None], self.period[:, None, None]
        to_left, to_right = -series.left - series.x, wide - series.right - series.x
        phases = self._phases(series, (to_left, to_right))
        x = series.x[:, None] + phases
        first = np.ceil((-series.left[:, None] - x - SLACK) / period)
        last = np.floor((wide[:, None] - series.right[:, None] - x + SLACK) / period)
        held: Values = np.maximum(last - first + 1.0, 0.0) * series.here[:, None]
        return held

    def held_up_to(self, series: Series, width: Values) -> tuple[Values, Values]:
        """Return the heights at which pieces end, and how many end there or lower at most."""
        tops = np.where(series.here, series.end, np.inf)
        order = tops.round(7).argsort(axis=1, kind="stable")
        every = np.arange(len(tops))[:, None]
        held = self.held(series, width).transpose(0, 2, 1)[every, order]
        return held.cumsum(axis=1).max(axis=2), tops[every, order]

    def first_ends(self, series: Series, copies: Callable[[Values], Values]) -> Values:
        """Return, at every phase, where the first copy of each piece that a side allows ends."""
        to_left = -series.left - series.x
        phases = self._phases(series, (to_left,))
        first = np.ceil(copies(to_left[:, None] - phases))
        at = series.x[:, None] + phases + first * self.period[:, None, None]
        return np.where(series.here[:, None], at + series.right[:, None], np.inf)

    def nth(self, ends: Values, series: Series, counts: NDArray[np.int64]) -> Values:
        """Return where so many pieces end, at every phase, infinite where there are no rows.

        Shape:
            Pattern, phase, count.
        """
        wide = self.right - self.left
        if float(np.ptp(wide, axis=(1, 2)).max()) <= _SAME:
            # Of every copy all pieces end within a period.
            number = np.maximum(series.number, 1)[:, None, None]
            round_, rank = np.divmod(counts - 1, number)
            rank = np.broadcast_to(rank, (*ends.shape[:2], len(counts)))
            nth: Values = np.take_along_axis(np.sort(ends, axis=2), rank, axis=2)
            return nth + self.period[:, None, None] * round_
        found = np.full((*ends.shape[:2], len(counts)), np.inf)
        for at, number in enumerate(series.number.tolist()):
            if number:
                copies = np.arange(math.ceil(int(counts[-1]) / number) + 2)
                every = ends[at, :, :number, None] + self.period[at] * copies
                found[at] = np.sort(every.reshape(len(every), -1), axis=1)[:, counts - 1]
        return found
