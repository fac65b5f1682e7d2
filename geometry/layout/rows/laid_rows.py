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
from geometry.layout.rows.row_pieces import RowPieces, Series
from geometry.tolerance import LAYOUT_ACCURACY

#: Places looked at together, for all patterns and phases: more take much memory and no less time.
_MOST_TOGETHER = 50_000
#: Rows of a pattern of which a piece may lie flush with a side.
_FLUSH = 3
#: Pieces of all patterns whose places are kept: of more, to work them out again is less of a loss.
_MOST_KNOWN = 2_500
#: Pieces are equally wide if their widths differ by no more, mm.
_SAME = 1e-9


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
        rows = int(number.max())
        step = self._at_once(rows)
        if step >= len(number):
            return measured(self, self.series(number, rows), *by)
        found = []
        for at in range(0, len(number), step):
            part = np.arange(at, min(at + step, len(number)))
            own = self._of(part)
            series = own.series(number[part], int(number[part].max()))
            found.append(measured(own, series, *(each[part] for each in by)))
        return np.concatenate(found)

    def series_at_once(self, number: NDArray[np.int64]) -> Series | None:
        """Return so many rows of each pattern; ``None`` if they take too much memory at once."""
        rows = int(number.max())
        return self.series(number, rows) if self._at_once(rows) >= len(number) else None

    def _at_once(self, rows: int) -> int:
        """Return of how many patterns so many rows are looked at together."""
        members = int(self.x.shape[2])
        return max(1, _MOST_TOGETHER // (max(1, rows) * 2 * _FLUSH * members**2))

    def _of(self, part: NDArray[np.int64]) -> LaidRows:
        return LaidRows(
            self.x[part], self.y[part], self.left[part], self.right[part], self.top[part],
            self.period[part], self.dx[part], self.dy[part], self.bottoms[part], self.tops[part],
        )  # fmt: skip

    @cached_property
    def _stacking(self) -> tuple[tuple[Values, ...], tuple[NDArray[np.bool_], ...]]:
        """Return what rows rise, and where there are only so many: 2, none, 1.

        How far the first row lies above its lowest piece, how high both kinds end, what one row
        and two rise.
        """
        base, rise, back = -self.bottoms[:, 0], self.dy[:, 0], self.dy[:, 1]
        stacked = (rise > LAYOUT_ACCURACY) & (back > LAYOUT_ACCURACY)
        cycle = np.where(stacked, rise + back, np.inf)
        # The other kind of row may hang lower than the first.
        hangs = base + rise + self.bottoms[:, 1] < -SLACK
        one, other = self.tops.T.copy()
        few = back <= LAYOUT_ACCURACY, hangs, rise <= LAYOUT_ACCURACY
        return (base, one, other, rise.copy(), cycle), few

    def rows_below(self, heights: Values, most: Values | None = None) -> NDArray[np.int64]:
        """Return how many rows of each pattern fit below a height, or how many are enough."""
        (base, one, other, rise, cycle), (at_most_two, hangs, only_one) = self._stacking
        spare = heights + SLACK
        spare -= base
        above = spare - other
        above -= rise
        spare -= one
        count = np.floor(spare / cycle)
        count *= 2.0
        count += 2.0
        odd = np.floor(above / cycle)
        odd *= 2.0
        odd += 3.0
        np.minimum(count, odd, out=count)
        count[at_most_two] = 2.0
        count[above < 0.0] = 1.0
        count[hangs] = 0.0
        count[only_one] = 1.0
        count[spare < 0.0] = 0.0
        number = count.astype(np.int64)
        return number if most is None else np.minimum(number, most.astype(np.int64))

    def series(self, number: NDArray[np.int64], most: int) -> Series:
        """Return so many rows of each pattern, before any phase; ``most`` of them at most."""
        most, members = max(1, most), self.x.shape[2]
        here = np.arange(most)[:, None] < number
        if members > 1:
            here = here.repeat(members, axis=0)
        are_all = int(number.min()) == most
        return Series(self._first_rows(most), here, are_all, number * members)

    def _first_rows(self, most: int) -> RowPieces:
        """Return the pieces of so many rows."""
        lines = most * self.x.shape[2]
        for known in self._known:
            if len(known.x) >= lines:
                return known.first(lines)
        found = self._pieces(most)
        if found.x.size <= _MOST_KNOWN:
            self._known[:] = [found]
        return found

    @cached_property
    def _known(self) -> list[RowPieces]:
        """The pieces that were asked for last, where they are few: they are asked for often."""
        return []

    def _pieces(self, most: int) -> RowPieces:
        rows = np.arange(most)[:, None, None]
        kind, turn, odd = rows.ravel() % 2, rows // 2, rows % 2
        # Rows, pieces of a row, patterns.
        run, back = self.dx.T[:, None]
        rise, fall = self.dy.T[:, None]
        x, y, left, right, top = (
            each.transpose(1, 2, 0)[kind]
            for each in (self.x, self.y, self.left, self.right, self.top)
        )
        x = turn * (run + back) + odd * run + x
        y = -self.bottoms[:, 0] + turn * (rise + fall) + odd * rise + y
        shape = (-1, len(self.period))
        x, out, end = x.reshape(shape), -left.reshape(shape), (y + top).reshape(shape)
        ends, to_left = end.round(7), out - x
        return RowPieces(
            x,
            out,
            np.ascontiguousarray(right.reshape(shape)),
            end,
            to_left,
            self._phases(to_left),
            bool((ends[1:] >= ends[:-1]).all()),
        )

    def _phases(self, flush: Values, here: NDArray[np.bool_] | None = None) -> Values:
        """Return the phases that bring a piece of one of the first rows flush with a side.

        Where there is no such row, those of the first piece.
        """
        first = _FLUSH * self.x.shape[2]
        flush = flush[:first]
        if here is not None:
            flush = np.where(here[:first], flush, flush[:1])
        return (flush % self.period).round(9)

    def _left_phases(self, series: Series) -> Values:
        if series.are_all:
            return series.pieces.phases
        return self._phases(series.pieces.to_left, series.here)

    def held(self, series: Series, width: Values) -> Values:
        """Return how many copies of each piece lie within a width.

        Shape:
            Phase, piece, pattern.
        """
        pieces = series.pieces
        to_right = width - pieces.right
        first = _FLUSH * self.x.shape[2]
        here = None if series.are_all else series.here
        right_phases = self._phases(to_right[:first] - pieces.x[:first], here)
        phases = np.concatenate([self._left_phases(series), right_phases])
        x = pieces.x + phases[:, None]
        before = pieces.out - x
        before -= SLACK
        before /= self.period
        np.ceil(before, out=before)
        held: Values = to_right - x
        held += SLACK
        held /= self.period
        np.floor(held, out=held)
        held -= before
        held += 1.0
        np.maximum(held, 0.0, out=held)
        if not series.are_all:
            held *= series.here
        return held

    def held_up_to(self, series: Series, width: Values) -> tuple[Values, Values]:
        """Return how many pieces end at a height or lower at most, and those heights.

        Shape:
            Piece, pattern; the lowest first.
        """
        pieces = series.pieces
        tops = pieces.end if series.are_all else np.where(series.here, pieces.end, np.inf)
        held = self.held(series, width)
        if not pieces.is_ascending:
            order = tops.round(7).argsort(axis=0, kind="stable")
            every = np.arange(tops.shape[1])
            held, tops = held[:, order, every], tops[order, every]
        return held.cumsum(axis=1).max(axis=0), tops

    def first_ends(self, series: Series, copies: Callable[[Values], Values]) -> Values:
        """Return where the first copy of each piece that a side allows ends.

        Shape:
            Phase, piece, pattern.
        """
        pieces, phases = series.pieces, self._left_phases(series)[:, None]
        first = copies(pieces.to_left - phases)
        np.ceil(first, out=first)
        first *= self.period
        ends: Values = pieces.x + phases
        ends += first
        ends += pieces.right
        if not series.are_all:
            np.copyto(ends, np.inf, where=~series.here)
        return ends

    @cached_property
    def are_equally_wide(self) -> bool:
        """Return whether the pieces of each pattern are: those of a copy then end in a period."""
        wide = self.right - self.left
        return float(np.ptp(wide, axis=(1, 2)).max()) <= _SAME

    def nth(self, ends: Values, series: Series, counts: NDArray[np.int64]) -> Values:
        """Return where so many pieces end, infinite where there are no rows.

        Shape:
            Phase, pattern, count.
        """
        if self.are_equally_wide:
            copies, rank = np.divmod(counts - 1, np.maximum(series.number, 1)[:, None])
            phases, every = np.ogrid[: len(ends), : ends.shape[2]]
            nth: Values = in_order(ends)[phases[:, :, None], every[:, :, None], rank]
            nth += self.period[:, None] * copies
            return nth
        found = np.full((len(ends), ends.shape[2], len(counts)), np.inf)
        for at, number in enumerate(series.number.tolist()):
            if number:
                copies = np.arange(math.ceil(int(counts[-1]) / number) + 2)
                all_ends = ends[:, :number, at, None] + self.period[at] * copies
                in_turn = np.sort(all_ends.reshape(len(all_ends), -1), axis=1)
                found[:, at] = in_turn[:, counts - 1]
        return found


def in_order(ends: Values) -> Values:
    """Return where pieces end, of each phase and pattern those that end first first.

    Shape:
        Phase, pattern, piece.
    """
    found = np.ascontiguousarray(ends.transpose(0, 2, 1))
    found.sort(axis=2)
    return found
