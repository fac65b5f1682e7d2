"""Several kinds on one low strip of a sheet, in blocks of rows side by side or between rows.

A kind's rows need a shorter block the higher the strip is. So the least height at which all blocks
together are no longer than the strip is found by halving. Rows also leave room that smaller pieces
fit into: 8 hexagons in five columns leave four half hexagons at the strip's edges, which 12
triangles fill.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, Side, add, placed_of
from geometry.layout.item import Filling, Item
from geometry.layout.objective import placement_bounds
from geometry.layout.rows.row_blocks import RowBlocks
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.strips.low_strips import lower_strips
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement, shifted

#: Patterns of each kind that are looked at.
_PATTERNS = 12
#: Steps for one pattern laid on a strip. Own measurement.
_STEPS_PER_PATTERN = 0.5
#: Halvings of a strip's height, with blocks side by side and with pieces between rows.
_HALVINGS, _HALVINGS_BETWEEN = 14, 9
#: Pieces beside rows up to which they are put one by one.
_MAX_BETWEEN = 40


@dataclass(frozen=True)
class LowStrips:
    """The search for low strips along one side of a sheet that hold all that is wanted.

    Attributes:
        wanted: how many of each kind.
        blocks: patterns of rows of each kind, along both sides of the sheet.
        side: of the two, the one that the strip runs along.
        room: a rectangle.
        gap: least distance, mm.
        effort: how many turns are tried for each piece between rows.
        budget: pays for every pattern laid and every piece put.
    """

    wanted: Mapping[str, int]
    blocks: Mapping[str, Sequence[RowBlocks]]
    side: int
    room: WorkArea
    gap: float
    effort: Effort
    budget: Budget

    def beside(self, items: Sequence[Item], share: float) -> Iterator[tuple[float, Filling]]:
        """Yield ever lower strips with a block of rows of each kind, and their shares of the room.

        Args:
            items: the kinds; all are wanted.
            share: of the room, that the least strip known takes.

        Raises:
            SearchEnded: when the budget is spent.
        """

        def on_strip(strip: WorkArea) -> Filling | None:
            placed: list[Placement] = []
            start = 0.0
            for item in items:
                shortest = self._shortest_block(item, strip)
                if shortest is None or start + shortest[0] > self._rows(item).side + SLACK:
                    return None
                move = (start, 0.0) if self._from_left else (0.0, start)
                placed.extend(shifted(shortest[1], *move))
                start += shortest[0] + self.gap
            return tuple(placed)

        yield from lower_strips(
            items,
            self.wanted,
            self.room,
            share,
            on_strip,
            from_left=self._from_left,
            halvings=_HALVINGS,
        )

    def between(
        self, order: Sequence[Item], end: Side, share: float, *, reverse: bool
    ) -> Iterator[tuple[float, Filling]]:
        """Yield ever lower strips with one kind in rows, and their shares of the room.

        Args:
            order: the kinds; those after the first are put one by one where there is room.
            end: side of the room that they are put against.
            share: of the room, that the least strip known takes.
            reverse: whether the last of the turns at which they go equally well is taken.

        Raises:
            SearchEnded: when the budget is spent.
        """
        first, *others = order
        if sum(self.wanted[item.piece] for item in others) > _MAX_BETWEEN:
            return
        turns = self.effort.turns_per_piece

        def on_strip(strip: WorkArea) -> Filling | None:
            block = self._shortest_block(first, strip)
            if block is None or block[0] > self._rows(first).side + SLACK:
                return None
            placed: list[Placed] = placed_of(block[1], {first.piece: first.outline})
            for item in others:
                count = self.wanted[item.piece]
                put = add(
                    item, count, strip, placed,
                    gap=self.gap, turns=turns, budget=self.budget, side=end, reverse=reverse,
                )  # fmt: skip
                if put < count:
                    return None
            return tuple(each.placement for each in placed)

        # A strip that the first kind fills by itself, in rows that follow each other across it.
        likely = float(self.blocks[first.piece][1 - self.side].lengths[self.wanted[first.piece]])
        yield from lower_strips(
            order,
            self.wanted,
            self.room,
            share,
            on_strip,
            from_left=self._from_left,
            halvings=_HALVINGS_BETWEEN,
            likely=likely,
        )

    def _rows(self, item: Item) -> RowBlocks:
        return self.blocks[item.piece][self.side]

    @property
    def _from_left(self) -> bool:
        return next(iter(self.blocks.values()))[self.side].from_left

    def _shortest_block(self, item: Item, strip: WorkArea) -> tuple[float, Filling] | None:
        """Return the shortest block of rows of a kind on a strip, and its length, mm."""
        outlines, count = {item.piece: item.outline}, self.wanted[item.piece]
        shortest: tuple[float, Filling] | None = None
        for way in self._rows(item).ways[:_PATTERNS]:
            self.budget.spend(_STEPS_PER_PATTERN)
            block = way.block(item, count, strip)
            if len(block) < count:
                continue
            used = placement_bounds(block, outlines)
            length = used.width if self._from_left else used.height
            if shortest is None or length < shortest[0] - SLACK:
                dx, dy = strip.bounds.left - used.left, strip.bounds.bottom - used.bottom
                shortest = length, shifted(block, dx, dy)
        return shortest
