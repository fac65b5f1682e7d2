"""All columns of a few kinds in one direction: what they may hold, and what lays them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

import numpy as np

from geometry.layout.columns.column_cover import ColumnPatterns, Cover
from geometry.layout.columns.column_lanes import Lanes
from geometry.layout.columns.kind_columns import KindColumns
from geometry.layout.effort import Budget
from geometry.layout.item import Filling
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.model.placement import shifted

#: Steps for lanes of one height. Own measurement.
_STEPS_PER_LANES: Final = 10.0

#: Columns one after the other: the width of each, mm, and how many of each kind it holds.
Columns: TypeAlias = Iterable[tuple[float, tuple[int, ...]]]


@dataclass(frozen=True, eq=False)
class ColumnDirection:
    """Columns in one direction: what each load takes, and what lays it.

    Attributes:
        kinds: in columns of that direction.
        columns: the width of each, and the heights of each kind in it.
        patterns: what columns may hold.
        length: of the sheet along the columns, with a gap, mm.
        height: of all columns, with a gap, mm.
    """

    kinds: Sequence[KindColumns]
    columns: Sequence[tuple[float, Sequence[Values]]]
    patterns: ColumnPatterns
    length: float
    height: float

    @classmethod
    def of(cls, kinds: Sequence[KindColumns]) -> ColumnDirection:
        """Return the columns of kinds in the direction of these."""
        first = kinds[0]
        box, gap = first.room.bounds, first.gap
        sides = (box.width, box.height) if first.from_left else (box.height, box.width)
        length, height = (side + gap for side in sides)
        found = {round(width, 7) for each in kinds for width in each.widths()}
        widths = [width for width in sorted(found) if width <= length + SLACK]
        for each in kinds:
            each.measure(widths)
        columns = [(width, [each.heights(width) for each in kinds]) for width in widths]
        within = [(width, [_within(each, height) for each in tall]) for width, tall in columns]
        return cls(kinds, columns, ColumnPatterns.of(within, height), length, height)

    def share(self, length: float) -> float:
        """Return the share of the sheet that columns of a length take, a gap after the last."""
        gap = self.kinds[0].gap
        return (length - gap) / (self.length - gap)

    def placed(self, columns: Columns, start: float, bottom: float) -> tuple[Filling, float]:
        """Return columns from a place on, and where they end."""
        placed: Filling = ()
        for width, held in columns:
            up = bottom
            for each, count in zip(self.kinds, held, strict=True):
                if count:
                    move = (start, up) if each.from_left else (up, start)
                    placed += shifted(each.filling(width, count), *move)
                    up += float(each.heights(width)[count])
            start += width
        return placed, start


class DirectionCover:
    """The least length of columns in one direction for all numbers of each kind.

    Attributes:
        shares: of the sheet that columns take, for numbers of each kind.
    """

    def __init__(self, direction: ColumnDirection, quantities: Sequence[int]) -> None:
        self.direction, self.quantities = direction, quantities
        self.cover = Cover(direction.patterns, quantities, direction.length)
        gap = direction.kinds[0].gap
        self.shares: Values = (self.cover.lengths - gap) / (direction.length - gap)

    @classmethod
    def of_rest(cls, direction: ColumnDirection, quantities: Sequence[int]) -> DirectionCover:
        """Return the same of what is left of an order, whose columns hold no more than that."""
        held = direction.patterns
        fewer = ColumnPatterns(np.minimum(held.counts, quantities), held.widths).fullest()
        return cls(replace(direction, patterns=fewer), quantities)

    def filling(self, counts: Sequence[int]) -> Filling:
        """Return the columns that hold numbers of each kind."""
        return self.direction.placed(self.cover.columns(counts), 0.0, 0.0)[0]

    def in_lanes(
        self, counts: Sequence[int], share: float, budget: Budget
    ) -> tuple[float, Filling]:
        """Return a shorter strip than a share of the sheet, with two lanes before the columns.

        Nothing where there is none; with it the share that it takes.
        """
        best: Lanes | None = None
        own = self.direction
        lowest = {round(low, 7) for each in own.kinds for low in each.lane_heights()}
        for low in sorted(each for each in lowest if each < own.height):
            budget.spend(_STEPS_PER_LANES)
            lanes = Lanes(own.columns, self.cover, self.quantities, low, own.height, own.length)
            found = own.share(lanes.length(counts))
            if found < share - SLACK:
                share, best = found, lanes
        if best is None:
            return share, ()
        lower, upper, after = best.parts(counts)
        one, first_end = own.placed(best.lower.columns(lower), 0.0, 0.0)
        other, second_end = own.placed(best.upper.columns(upper), 0.0, best.lower_height)
        rest, _ = own.placed(self.cover.columns(after), max(first_end, second_end), 0.0)
        return share, (*one, *other, *rest)


def _within(heights: Values, height: float) -> Values:
    """Return the heights up to that of a column."""
    return heights[: int(np.searchsorted(heights, height + SLACK, side="right"))]
