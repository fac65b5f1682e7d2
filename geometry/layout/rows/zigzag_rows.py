"""One row across a strip whose pieces lie at its upper and its lower side in turn.

Where a strip is a little too narrow for a row of so many pieces, they lie closer beside each other
once every other one is lower. Each may be turned in its own way: of five octagons those at the ends
lie on an edge and the three between them on a corner.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.layout.fitting.bottom_left import Variant, distinct
from geometry.layout.fitting.holding_polygons import holding_polygon, is_convex, narrowest
from geometry.layout.item import Filling, Item
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_patterns import shape_of
from geometry.layout.rows.row_units import UnitShape
from geometry.layout.rows.turn_period import turn_period
from geometry.layout.sides import moved_into, size_of
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from geometry.proof.overlap import check_load

#: Turns of a piece that are combined, and pieces of a row.
_MAX_TURNS: Final = 6
_MAX_PIECES: Final = 24
#: Times as many pieces as a straight row holds up to which rows are sought.
_CLOSER: Final = 2.0
#: Heights of a strip that are measured together, and how often they become finer.
_HEIGHTS: Final = 65
_TIMES_FINER: Final = 3
#: Rows stay so far within the width, mm.
_CLEAR: Final = 1.0e-6


def zigzag_row(
    item: Item, room: WorkArea, count: int, share: float, *, gap: float, from_left: bool
) -> Filling:
    """Return so many pieces in one such row on the least strip; nothing where there is none.

    Straight rows are not sought.

    Args:
        item: what is laid.
        room: a rectangle.
        count: how many.
        share: of the rectangle, that the strip may take at most.
        gap: least distance, mm.
        from_left: whether the strip lies at the left side, or at the lower one.
    """
    if item.outline.has_arcs or not 1 < count <= _MAX_PIECES:
        return ()
    if not is_convex(holding_polygon(item.outline)):
        return ()
    width, height = size_of(room, upright=from_left)
    straight = math.floor(width / narrowest(item.outline))
    if not straight < count <= _CLOSER * straight:
        return ()
    row = _Row.of(item, gap, upright=from_left)
    least = row.least_height(count, width, share * height)
    if least is None:
        return ()
    found = tuple(
        Placement(item.piece, moved_into(move, room, upright=from_left))
        for move in row.places(count, least)
    )
    # Lengths are measured from piece to piece; that those at one side keep clear is seen here.
    return () if check_load({item.piece: item.outline}, Load(found), room, gap) else found


@dataclass(frozen=True)
class _Row:
    """The ways that pieces of a row are turned, and what keeps them apart."""

    shape: UnitShape
    ways: tuple[Variant, ...]

    @classmethod
    def of(cls, item: Item, gap: float, *, upright: bool) -> _Row:
        """Return the row of an item, made lying where it stands upright."""
        stated = item.stated_turns_deg
        if upright and stated is not None:
            stated = tuple((turn + 90.0) % 360.0 for turn in stated)
        return cls(shape_of(item.outline, gap), _ways(item.outline, stated))

    def least_height(self, count: int, width: float, highest: float) -> float | None:
        """Return the least height of a strip on which a row is no longer than a width, mm.

        ``None`` where none is low enough, and where a straight row does.
        """
        tall = self._sides("height")
        low, high = float(tall.min()), min(highest, 2.0 * float(tall.max()))
        if high <= low:
            return None
        for _ in range(_TIMES_FINER):
            heights = np.linspace(low, high, _HEIGHTS)
            fits = np.flatnonzero(self._lengths(count, heights) <= width - _CLEAR)
            if not len(fits) or not fits[0]:
                return None
            low, high = heights[fits[0] - 1], heights[fits[0]]
        return float(high)

    def places(self, count: int, height: float) -> list[Rigid]:
        """Return how the pieces of a row lie on a strip of a height, from 0, 0 on."""
        starts, before = self._starts(count, np.array([height]))
        way = int((starts[-1] + self._sides("right")).argmin())
        found = []
        for number in reversed(range(count)):
            box = self.ways[way].outline.bounds
            y = -box.bottom if number % 2 else height - box.top
            found.append(Rigid(self.ways[way].turn_deg, float(starts[number][way, 0]), y))
            way = int(before[number][way, 0])
        return found[::-1]

    def _lengths(self, count: int, heights: Values) -> Values:
        """Return the length of the shortest row on strips of ever so many heights, mm."""
        starts, _ = self._starts(count, heights)
        lengths: Values = (starts[-1] + self._sides("right")).min(axis=0)
        return lengths

    def _starts(self, count: int, heights: Values) -> tuple[list[Values], list[NDArray[np.int64]]]:
        """Return how far along each piece lies in each way, and in which way the one before it.

        Source:
            The shortest row is a shortest path (R. Bellman, "Dynamic Programming", 1957).
        """
        tall = self._sides("height")
        start = np.where(heights >= tall - _CLEAR, -self._sides("left"), np.inf)
        starts, before = [start], [np.zeros(start.shape, dtype=np.int64)]
        steps = self._steps(heights)
        for number in range(1, count):
            reached = starts[-1][:, None] + steps[number % 2]
            before.append(reached.argmin(axis=0))
            starts.append(reached.min(axis=0))
        return starts, before

    def _steps(self, heights: Values) -> tuple[Values, Values]:
        """Return how far along a piece lies from the one before, where it is high, or low.

        Shape:
            The way of the one before, its own way, height of the strip.
        """
        count = len(self.ways)
        high, low = np.empty((2, count, count, len(heights)))
        for one, first in enumerate(self.ways):
            for two, second in enumerate(self.ways):
                beside = self.shape.right_of(first.turn_deg, second.turn_deg)
                mine, other = first.outline.bounds, second.outline.bounds
                high[one, two] = beside.at(heights - other.top + mine.bottom)
                low[one, two] = beside.at(mine.top - heights - other.bottom)
        tall = self._sides("height")
        for each in (high, low):
            each[np.broadcast_to(heights < tall - _CLEAR, each.shape)] = np.inf
            # One that lies wholly above the one before is not moved back.
            np.maximum(each, 0.0, out=each)
        return high, low

    def _sides(self, name: str) -> Values:
        """Return a side of the box of each way as a column, mm."""
        return np.array([[getattr(way.outline.bounds, name)] for way in self.ways])


@lru_cache(maxsize=64)
def _ways(outline: Outline, stated: tuple[float, ...] | None) -> tuple[Variant, ...]:
    """Return the ways a piece may lie with an edge or a corner along or across a row."""
    turns = _turns(outline) if stated is None else stated
    return distinct(Item("", outline, 1, turns), turns, _MAX_TURNS)


def _turns(outline: Outline) -> tuple[float, ...]:
    """Return the turns of those ways, each look once, degrees."""
    edges = [math.degrees(part.start_heading) for part in outline.segments]
    corners = [
        one + ((other - one) % 360.0) / 2.0
        for one, other in zip(edges, [*edges[1:], edges[0]], strict=True)
    ]
    quarters, period = (0.0, 90.0, 180.0, 270.0), turn_period(outline)
    turns = (
        round((quarter - each) % period, 6) for each in edges + corners for quarter in quarters
    )
    return tuple(dict.fromkeys(turn % period for turn in turns))
