"""Rows in a bed that is no rectangle: each row fills the chords that the bed leaves at its height.

Two ways of rows are laid. Interlocked rows repeat by a stack's own steps: the height and the phase
of all rows together are chosen. Free rows stand far enough apart for each to have a phase of its
own: their heights are chosen one by one.

Source:
    The best heights of free rows are a longest path over a grid of heights (dynamic programming;
    R. Bellman, "Dynamic Programming", Princeton 1957).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.layout.beds.chords import Chords, FitRegion, Spot, Values, best_phase, cuts
from geometry.layout.fitting.bottom_left import Placed, Variant
from geometry.layout.fitting.holding_polygons import Coordinates
from geometry.layout.fitting.inner_fit import HAIR, inner_fit
from geometry.layout.item import Item
from geometry.layout.rows.row_units import Unit
from geometry.layout.rows.stacks import Stack
from geometry.model.cutter import WorkArea
from geometry.model.transform import cos_sin_deg

#: Heights of the first row that are tried, over the height of one repeat.
_LEVELS = 16


#: A row of a stack in a bed: its unit, how far along and how high, and where its pieces may begin.
Level: TypeAlias = tuple[tuple[Unit, float, float], Chords]


class BedRows:
    """Rows of an item in a bed, along x or, turned by a quarter, along y.

    Attributes:
        item: what is laid.
        room: where it goes.
        quarter_deg: by which rows are turned, 0 or -90 degrees.
        nearest: heights nearest to a side at which a row of 1, 2, 3 ... pieces goes, by its unit
            and the direction; with the number of pieces up to which they are known.
    """

    def __init__(self, item: Item, room: WorkArea, quarter_deg: float = 0.0) -> None:
        self.item, self.room, self.quarter_deg = item, room, quarter_deg
        self.nearest: dict[tuple[Unit, float], tuple[int, Values]] = {}
        self._regions: dict[float, FitRegion] = {}
        # Each stage of a search, and each number of pieces, begins with the same rows.
        self._laid: dict[Stack | tuple[Unit, float], tuple[Placed, ...]] = {}

    @cached_property
    def _turn(self) -> Coordinates:
        cos, sin = cos_sin_deg(self.quarter_deg)
        return np.array([[cos, sin], [-sin, cos]])

    def interlocked(self, stack: Stack) -> list[Placed]:
        """Return the most pieces that rows of a stack hold at one phase."""
        if stack not in self._laid:
            self._laid[stack] = tuple(self._interlocked(stack))
        return list(self._laid[stack])

    def _interlocked(self, stack: Stack) -> list[Placed]:
        rows, along, up = repeat_of(stack)
        if up <= HAIR:
            return []
        most, best = 0, (0.0, 0.0)
        lows = self._first_heights([(unit, y) for unit, _, y in rows], up)
        for low, levels in zip(lows, self.levels_at(rows, along, up, lows), strict=True):
            if levels:
                start = np.concatenate([chords.start for _, chords in levels])
                end = np.concatenate([chords.end for _, chords in levels])
                count, phase = best_phase(start, end, stack.first.period)
                if count > most:
                    most, best = count, (low, phase)
        placed: list[Placed] = []
        if most:
            low, phase = best
            placed.extend(self.placed(self.levels(rows, along, up, low), phase))
        return in_order(placed)

    def free(self, unit: Unit, gap: float) -> list[Placed]:
        """Return the most pieces that rows of a unit hold, each at the phase that is best for it.

        Rows stand a whole unit's height and the gap apart or more.
        """
        key = (unit, gap)
        if key not in self._laid:
            self._laid[key] = tuple(self._free(unit, gap))
        return list(self._laid[key])

    def _free(self, unit: Unit, gap: float) -> list[Placed]:
        up = unit.top - unit.bottom + gap
        best: list[tuple[float, list[Spot]]] = []
        most = 0
        for low in self._anchors([(unit, 0.0)], up):
            heights = self._grid(unit, low, up / _LEVELS)
            found = self.chords_at(unit, heights)
            count, chosen = _best_heights([each.most(unit) for each in found])
            if count > most:
                most = count
                best = [(float(heights[at]), found[at].fullest(unit)) for at in chosen]
        return in_order([each for y, spots in best for each in self.row(unit, spots, 0.0, y)])

    def placed(self, levels: Sequence[Level], phase: float) -> Iterator[Placed]:
        """Yield the pieces of rows that lie at one phase."""
        for (unit, dx, y), chords in levels:
            yield from self.row(unit, chords.at_phase(phase, unit.period), dx, y)

    def _first_heights(self, rows: Sequence[tuple[Unit, float]], up: float) -> list[float]:
        """Return the heights to try for the first row, over one repeat."""
        anchors = self._anchors(rows, up)
        if not anchors:
            return []
        steps = anchors[0] + up * np.arange(_LEVELS) / _LEVELS
        return sorted({*anchors, *(float(each) for each in steps)})

    def _anchors(self, rows: Sequence[tuple[Unit, float]], up: float) -> list[float]:
        """Return heights of the first row that suit the bed: flush below or above, symmetric.

        All are moved by whole repeats to lie in the first one above the bed's lower side.
        """
        extents = [self.extent(unit) for unit, _ in rows]
        lows = [low - y for (_, y), (low, _) in zip(rows, extents, strict=True)]
        base = min(lows)
        if math.isinf(base):
            return []
        found = [*lows, *(high - y for (_, y), (_, high) in zip(rows, extents, strict=True))]
        middles = [(low + high) / 2.0 for low, high in extents]
        for (_, y), middle in zip(rows, middles, strict=True):
            found.extend((middle - y, middle - y - up / (2.0 * len(rows))))
        moved = {round(base + (each - base) % up, 9) for each in found if math.isfinite(each)}
        return sorted(moved)

    def extent(self, unit: Unit) -> tuple[float, float]:
        """Return the lowest and highest places of a unit's row at which some piece of it lies."""
        low, high = math.inf, -math.inf
        for each in unit.members:
            region = self.region(each.turn_deg)
            if not region.is_empty:
                low, high = min(low, region.bottom - each.y), max(high, region.top - each.y)
        return low, high

    def _grid(self, unit: Unit, low: float, step: float) -> Values:
        first, last = self.extent(unit)
        before = math.floor((low - first + HAIR) / step)
        after = math.floor((last - low + HAIR) / step)
        return low + step * np.arange(-before, after + 1, dtype=np.float64)

    def levels(
        self, rows: Sequence[tuple[Unit, float, float]], along: float, up: float, low: float
    ) -> list[Level]:
        """Return the rows of a repeating stack over the whole bed, with what each may use."""
        return self.levels_at(rows, along, up, [low])[0]

    def levels_at(
        self,
        rows: Sequence[tuple[Unit, float, float]],
        along: float,
        up: float,
        lows: Sequence[float],
    ) -> list[list[Level]]:
        """Return the rows of a repeating stack for each of many heights of the first row."""
        found: list[list[Level]] = [[] for _ in lows]
        for unit, x, y in rows:
            first, last = self.extent(unit)
            if math.isinf(first):
                continue
            places: list[tuple[int, float, float]] = []
            for at, low in enumerate(lows):
                # A row's pieces may hang lower than the row below: none is left out.
                start = math.ceil((first - low - y - HAIR) / up)
                end = math.floor((last - low - y + HAIR) / up)
                repeats = np.arange(start, end + 1, dtype=np.float64)
                heights = (low + y + up * repeats).tolist()
                places.extend(
                    (at, x + along * repeat, height)
                    for repeat, height in zip(repeats.tolist(), heights, strict=True)
                )
            chords = self.chords_at(unit, np.array([height for *_, height in places]))
            for (at, dx, height), each in zip(places, chords, strict=True):
                found[at].append(((unit, dx, height), each.moved(dx)))
        return found

    def region(self, turn_deg: float) -> FitRegion:
        """Return where a piece may lie at one turn, as rows see it."""
        if turn_deg not in self._regions:
            way = self._way(turn_deg)
            region = inner_fit(self.room, way.outline)
            back = self._turn.T
            seen = polygons.transform(region, lambda points: points @ back)
            self._regions[turn_deg] = FitRegion.of(seen)
        return self._regions[turn_deg]

    def _way(self, turn_deg: float) -> Variant:
        return Variant((turn_deg + self.quarter_deg) % 360.0, self.item.outline)

    def chords_at(self, unit: Unit, heights: Values) -> list[Chords]:
        """Return where each member of a row may begin, at every height."""
        found: list[tuple[NDArray[np.int64], NDArray[np.int64], Values, Values]] = []
        for index, each in enumerate(unit.members):
            region = self.region(each.turn_deg)
            if region.is_empty or not len(heights):
                continue
            lines, start, end = cuts(region, heights + each.y)
            members = np.full(len(lines), index, dtype=np.int64)
            found.append((lines, members, start - each.x, end - each.x))
        if not found:
            none = np.empty(0)
            return [Chords(none.astype(np.int64), none, none) for _ in heights]
        lines, members, start, end = (np.concatenate(each) for each in zip(*found, strict=True))
        order = np.argsort(lines, kind="stable")
        breaks = np.searchsorted(lines[order], np.arange(len(heights) + 1)).tolist()
        members, start, end = members[order], start[order], end[order]
        return [
            Chords(members[low:high], start[low:high], end[low:high])
            for low, high in pairwise(breaks)
        ]

    def row(self, unit: Unit, spots: Sequence[Spot], dx: float, y: float) -> Iterator[Placed]:
        """Yield the pieces of a row."""
        for index, x in spots:
            member = unit.members[index]
            at = np.array([x + dx + member.x, y + member.y]) @ self._turn
            way = self._way(member.turn_deg)
            yield Placed(self.item.piece, way, float(at[0]), float(at[1]))


def repeat_of(stack: Stack) -> tuple[list[tuple[Unit, float, float]], float, float]:
    """Return the rows of a stack with their places, and how far it repeats along and up."""
    rows = [(stack.first, 0.0, 0.0)]
    for step in stack.steps:
        _, x, y = rows[-1]
        rows.append((step.unit, x + step.dx, y + step.dy))
    return rows[:-1], rows[-1][1], rows[-1][2]


def _best_heights(counts: Sequence[int]) -> tuple[int, list[int]]:
    """Return the most pieces in rows at least ``_LEVELS`` steps apart, and those rows' numbers."""
    most = [0] * (len(counts) + 1)
    for at, count in enumerate(counts, 1):
        most[at] = max(most[at - 1], count + most[max(0, at - _LEVELS)])
    chosen: list[int] = []
    at = len(counts)
    while at > 0:
        if most[at] == most[at - 1]:
            at -= 1
        else:
            chosen.append(at - 1)
            at = max(0, at - _LEVELS)
    return most[-1], chosen[::-1]


def in_order(placed: list[Placed]) -> list[Placed]:
    """Return pieces from the left, and from below where they are alike."""
    return sorted(placed, key=lambda each: (round(each.x, 6), round(each.y, 6)))
