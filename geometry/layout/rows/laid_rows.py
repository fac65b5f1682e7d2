"""Patterns of rows laid at once with one kind of row first, and how their pieces lie."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.tolerance import LAYOUT_ACCURACY

#: Places looked at together, for all patterns and phases: more take much memory and no less time.
_MOST_TOGETHER = 50_000
#: Rows of a pattern of which a piece may lie flush with a side.
_FLUSH = 3
#: Pieces of all patterns whose places are kept: of more, to work them out again is less of a loss.
_MOST_KNOWN = 2_500
#: Pieces are equally wide if their widths differ by no more, mm.
_SAME = 1e-9


@dataclass(frozen=True)
class RowPieces:
    """Pieces of so many rows of each pattern: a column for each piece of each row.

    Attributes:
        x: of the origins, before any phase.
        out: how far the left sides lie left of the origins.
        right: how far the right sides lie right of them.
        end: how high the pieces end.
        to_left: how far along the pieces are flush with the left side.
        phases: the same of the first rows as phases.
        is_ascending: whether no piece ends lower than one before it.
    """

    x: Values
    out: Values
    right: Values
    end: Values
    to_left: Values
    phases: Values
    is_ascending: bool

    def first(self, columns: int) -> RowPieces:
        """Return those of so many columns."""
        if columns == self.x.shape[1]:
            return self
        return RowPieces(
            self.x[:, :columns], self.out[:, :columns], self.right[:, :columns],
            self.end[:, :columns], self.to_left[:, :columns], self.phases[:, :columns],
            self.is_ascending,
        )  # fmt: skip


@dataclass(frozen=True)
class Series:
    """Rows of each pattern, from one kind of row on.

    Attributes:
        pieces: of as many rows as the pattern with most has.
        here: which of them there are.
        are_all: whether those are all.
        number: how many there are.
    """

    pieces: RowPieces
    here: NDArray[np.bool_]
    are_all: bool
    number: NDArray[np.int64]


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
        number = self.rows_below(heights, most)
        step = self._at_once(number)
        if step >= len(number):
            return measured(self, self.series(number), *by)
        found = []
        for at in range(0, len(number), step):
            part = np.arange(at, min(at + step, len(number)))
            rows = self._of(part)
            found.append(measured(rows, rows.series(number[part]), *(each[part] for each in by)))
        return np.concatenate(found)

    def series_at_once(self, number: NDArray[np.int64]) -> Series | None:
        """Return so many rows of each pattern; ``None`` if they take too much memory at once."""
        return self.series(number) if self._at_once(number) >= len(number) else None

    def _at_once(self, number: NDArray[np.int64]) -> int:
        """Return of how many patterns so many rows are looked at together."""
        rows, members = max(1, int(number.max())), int(self.x.shape[2])
        return max(1, _MOST_TOGETHER // (rows * 2 * _FLUSH * members**2))

    def _of(self, part: NDArray[np.int64]) -> LaidRows:
        return LaidRows(
            self.x[part], self.y[part], self.left[part], self.right[part], self.top[part],
            self.period[part], self.dx[part], self.dy[part], self.bottoms[part], self.tops[part],
        )  # fmt: skip

    @cached_property
    def _stacking(self) -> tuple[Values, Values, tuple[NDArray[np.bool_], ...]]:
        """Return what two rows rise, and where there are only so many: 2, none, 1."""
        rise, back = self.dy[:, 0], self.dy[:, 1]
        stacked = (rise > LAYOUT_ACCURACY) & (back > LAYOUT_ACCURACY)
        cycle = np.where(stacked, rise + back, np.inf)
        # The other kind of row may hang lower than the first.
        hangs = -self.bottoms[:, 0] + rise + self.bottoms[:, 1] < -SLACK
        return rise, cycle, (back <= LAYOUT_ACCURACY, hangs, rise <= LAYOUT_ACCURACY)

    def rows_below(self, heights: Values, most: Values | None = None) -> NDArray[np.int64]:
        """Return how many rows of each pattern fit below a height, or how many are enough."""
        rise, cycle, (at_most_two, hangs, only_one) = self._stacking
        over = heights + SLACK - -self.bottoms[:, 0]
        spare, above = over - self.tops[:, 0], over - self.tops[:, 1] - rise
        count = np.minimum(2.0 * np.floor(spare / cycle) + 2.0, 2.0 * np.floor(above / cycle) + 3.0)
        count[at_most_two] = 2.0
        count[above < 0.0] = 1.0
        count[hangs] = 0.0
        count[only_one] = 1.0
        count[spare < 0.0] = 0.0
        number = count.astype(np.int64)
        return number if most is None else np.minimum(number, most.astype(np.int64))

    def series(self, number: NDArray[np.int64]) -> Series:
        """Return so many rows of each pattern, before any phase."""
        most, members = max(1, int(number.max())), self.x.shape[2]
        here = np.arange(most) < number[:, None]
        if members > 1:
            here = here.repeat(members, axis=1)
        are_all = int(number.min()) == most
        return Series(self._first_rows(most), here, are_all, number * members)

    def _first_rows(self, most: int) -> RowPieces:
        """Return the pieces of so many rows."""
        columns = most * self.x.shape[2]
        for known in self._known:
            if known.x.shape[1] >= columns:
                return known.first(columns)
        found = self._pieces(most)
        if found.x.size <= _MOST_KNOWN:
            self._known[:] = [found]
        return found

    @cached_property
    def _known(self) -> list[RowPieces]:
        """The pieces that were asked for last, where they are few: they are asked for often."""
        return []

    def _pieces(self, most: int) -> RowPieces:
        lines = np.arange(most)
        kind, turn, odd = lines % 2, lines // 2, lines % 2
        run, rise = self.dx[:, :1], self.dy[:, :1]
        x = turn * (run + self.dx[:, 1:]) + odd * run
        y = -self.bottoms[:, :1] + turn * (rise + self.dy[:, 1:]) + odd * rise
        shape = (len(x), -1)
        x = (x[:, :, None] + self.x[:, kind]).reshape(shape)
        out = -self.left[:, kind].reshape(shape)
        end = (y[:, :, None] + self.y[:, kind] + self.top[:, kind]).reshape(shape)
        ends, to_left = end.round(7), out - x
        return RowPieces(
            x,
            out,
            self.right[:, kind].reshape(shape),
            end,
            to_left,
            self._phases(to_left),
            bool((ends[:, 1:] >= ends[:, :-1]).all()),
        )

    def _phases(self, flush: Values, here: NDArray[np.bool_] | None = None) -> Values:
        """Return the phases that bring a piece of one of the first rows flush with a side.

        Where there is no such row, those of the first piece.
        """
        first = _FLUSH * self.x.shape[2]
        flush = flush[:, :first]
        if here is not None:
            flush = np.where(here[:, :first], flush, flush[:, :1])
        return (flush % self.period[:, None]).round(9)

    def _left_phases(self, series: Series) -> Values:
        if series.are_all:
            return series.pieces.phases
        return self._phases(series.pieces.to_left, series.here)

    def held(self, series: Series, width: Values) -> Values:
        """Return how many copies of each piece lie within a width, at every phase."""
        pieces, period = series.pieces, self.period[:, None, None]
        to_right = width[:, None] - pieces.right
        first = slice(None, _FLUSH * self.x.shape[2])
        here = None if series.are_all else series.here
        right_phases = self._phases(to_right[:, first] - pieces.x[:, first], here)
        phases = np.concatenate([self._left_phases(series), right_phases], axis=1)
        x = pieces.x[:, None] + phases[:, :, None]
        before = pieces.out[:, None] - x
        before -= SLACK
        before /= period
        np.ceil(before, out=before)
        held: Values = to_right[:, None] - x
        held += SLACK
        held /= period
        np.floor(held, out=held)
        held -= before
        held += 1.0
        np.maximum(held, 0.0, out=held)
        if not series.are_all:
            held *= series.here[:, None]
        return held

    def held_up_to(self, series: Series, width: Values) -> tuple[Values, Values]:
        """Return the heights at which pieces end, and how many end there or lower at most."""
        pieces = series.pieces
        tops = pieces.end if series.are_all else np.where(series.here, pieces.end, np.inf)
        held = self.held(series, width)
        if pieces.is_ascending:
            return held.cumsum(axis=2).max(axis=1), tops
        order = tops.round(7).argsort(axis=1, kind="stable")
        every = np.arange(len(tops))[:, None]
        held = held.transpose(0, 2, 1)[every, order]
        return held.cumsum(axis=1).max(axis=2), tops[every, order]

    def first_ends(self, series: Series, copies: Callable[[Values], Values]) -> Values:
        """Return, at every phase, where the first copy of each piece that a side allows ends."""
        pieces, phases = series.pieces, self._left_phases(series)[:, :, None]
        first = copies(pieces.to_left[:, None] - phases)
        np.ceil(first, out=first)
        first *= self.period[:, None, None]
        ends: Values = pieces.x[:, None] + phases
        ends += first
        ends += pieces.right[:, None]
        if not series.are_all:
            np.copyto(ends, np.inf, where=~series.here[:, None])
        return ends

    @cached_property
    def are_equally_wide(self) -> bool:
        """Whether all pieces of each pattern are, so that all of a copy end within a period."""
        wide = self.right - self.left
        return float(np.ptp(wide, axis=(1, 2)).max()) <= _SAME

    def nth(self, ends: Values, series: Series, counts: NDArray[np.int64]) -> Values:
        """Return where so many pieces end, at every phase, infinite where there are no rows.

        Shape:
            Pattern, phase, count.
        """
        if self.are_equally_wide:
            number = np.maximum(series.number, 1)[:, None, None]
            round_, rank = np.divmod(counts - 1, number)
            nth: Values = np.take_along_axis(np.sort(ends, axis=2), rank, axis=2)
            nth += self.period[:, None, None] * round_
            return nth
        found = np.full((*ends.shape[:2], len(counts)), np.inf)
        for at, number in enumerate(series.number.tolist()):
            if number:
                copies = np.arange(math.ceil(int(counts[-1]) / number) + 2)
                every = ends[at, :, :number, None] + self.period[at] * copies
                found[at] = np.sort(every.reshape(len(every), -1), axis=1)[:, counts - 1]
        return found
