"""Pieces of one kind stacked in columns of given widths: how high they stand, and their places."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.layout.fitting.fit import candidate_turns
from geometry.layout.fitting.holding_polygons import turned
from geometry.layout.item import Filling, Item
from geometry.layout.objective import placement_bounds
from geometry.layout.rows.row_blocks import RowBlocks
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement, shifted
from geometry.model.transform import Rigid

#: Boxes, and rows of a pattern, beside each other that make a column's width.
_BOXES_WIDE: Final = 3
_ROWS_WIDE: Final = 3
#: Boxes above each other that make a lane's height.
_BOXES_HIGH: Final = 2


@dataclass
class KindColumns:
    """One kind in columns from the left, or in lying ones from below.

    Lengths along and across columns have the gap added.

    Attributes:
        item: the kind.
        rows: patterns of rows, along both sides of the sheet; none for boxes alone.
        room: a rectangle.
        gap: least distance, mm.
        from_left: whether columns stand.
        every_width: whether columns may be as wide as rows of any pattern, not only of the
            shortest ones.
    """

    item: Item
    rows: Sequence[RowBlocks]
    room: WorkArea
    gap: float
    from_left: bool
    every_width: bool

    def widths(self) -> Iterator[float]:
        """Yield the widths that columns of this kind may have, mm."""
        for wide, _, _ in self._boxes:
            for number in range(1, min(_BOXES_WIDE, self.item.quantity) + 1):
                yield number * wide
        if self.rows:
            along = self.rows[0 if self.from_left else 1]
            lines = along.singly if self.every_width else [along.singly.min(axis=0)]
            for line in lines:
                steps = np.unique(np.round(line[1:], 7))
                for length in steps[np.isfinite(steps)][:_ROWS_WIDE]:
                    yield float(length) + self.gap

    def lane_heights(self) -> Iterator[float]:
        """Yield the heights that a lane of columns may have, mm."""
        for _, tall, _ in self._boxes:
            for number in range(1, _BOXES_HIGH + 1):
                yield number * tall

    def measure(self, widths: Sequence[float]) -> None:
        """Measure the stacks in columns of all widths that are needed, at once."""
        boxes, self._chosen = self._in_boxes(np.array(widths))
        self._at = {width: number for number, width in enumerate(widths)}
        self._heights = self._of_boxes = boxes
        if self.rows:
            columns = [self._column(width) for width in widths]
            self._singly = self._across.on(columns, self.item.quantity)
            lengths = self._singly.min(axis=1) + self.gap
            lengths[:, 0] = 0.0
            self._heights = np.minimum(boxes, lengths)

    def heights(self, width: float) -> Values:
        """Return how high 0, 1, 2 ... pieces stand in a column of a width, infinite if too wide."""
        found: Values = self._heights[self._at[width]]
        return found

    def filling(self, width: float, count: int) -> Filling:
        """Return so many pieces from the lower left corner of a column at 0, 0."""
        at = self._at[width]
        if self._of_boxes[at, count] <= self._heights[at, count] + SLACK:
            return tuple(self._placed(self._chosen[at].tolist(), width, count))
        way = self._across.ways[int(self._singly[at, :, count].round(6).argmin())]
        found = way.block(self.item, count, self._column(width))
        used = placement_bounds(found, {self.item.piece: self.item.outline})
        return shifted(found, -used.left, -used.bottom)

    @property
    def _across(self) -> RowBlocks:
        """The patterns of rows that follow each other up a column."""
        return self.rows[1 if self.from_left else 0]

    def _column(self, width: float) -> WorkArea:
        box = self.room.bounds
        if self.from_left:
            return WorkArea.rectangle(0.0, 0.0, width - self.gap, box.height)
        return WorkArea.rectangle(0.0, 0.0, box.width, width - self.gap)

    @cached_property
    def _boxes(self) -> list[tuple[float, float, float]]:
        """The boxes of a piece along and across the columns, each with its turn."""
        found: list[tuple[float, float, float]] = []
        for turn in candidate_turns(self.item):
            box = turned(self.item.outline, turn).bounds
            wide, tall = box.width + self.gap, box.height + self.gap
            if not self.from_left:
                wide, tall = tall, wide
            if not any(wide >= a - SLACK and tall >= b - SLACK for a, b, _ in found):
                found.append((wide, tall, turn))
        return found

    def _in_boxes(self, widths: Values) -> tuple[Values, NDArray[np.int64]]:
        """Return the least heights of rows of boxes, and the box of a row of each number.

        Shape:
            A line for each width, one entry for 0, 1, 2 ... pieces.
        """
        wide, tall, _ = np.array(self._boxes).T
        most = np.floor((widths[:, None] + SLACK) / wide).astype(np.int64)
        heights = np.full((len(widths), self.item.quantity + 1), np.inf)
        heights[:, 0] = 0.0
        chosen = np.full(heights.shape, -1)
        line = np.arange(len(widths))
        for count in range(1, heights.shape[1]):
            left = np.maximum(0, count - most)
            stacked = np.where(most > 0, heights[line[:, None], left] + tall, np.inf)
            chosen[:, count] = stacked.round(6).argmin(axis=1)
            heights[:, count] = stacked[line, chosen[:, count]]
        return heights, chosen

    def _placed(self, chosen: Sequence[int], width: float, count: int) -> Iterator[Placement]:
        """Yield so many pieces in rows of boxes, the rows that are full first."""
        boxes, up = self._boxes, 0.0
        rows = []
        while count > 0:
            wide, tall, turn = boxes[chosen[count]]
            most = math.floor((width + SLACK) / wide)
            rows.append((min(most, count), wide, tall, turn))
            count -= most
        for number, wide, tall, turn in rows:
            lone = turned(self.item.outline, turn).bounds
            for at in range(number):
                x, y = (at * wide, up) if self.from_left else (up, at * wide)
                yield Placement(self.item.piece, Rigid(turn, x - lone.left, y - lone.bottom))
            up += tall
