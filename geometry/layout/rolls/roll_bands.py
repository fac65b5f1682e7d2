"""One kind of piece in rows on a length of roll."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from geometry.layout.bound import grown_area
from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, add
from geometry.layout.fitting.fit import DoesNotFit, fitting_turn
from geometry.layout.fitting.holding_polygons import turned
from geometry.layout.item import Item
from geometry.layout.objective import placement_bounds
from geometry.layout.rows.row_laying import lay, most_held, placements_of
from geometry.layout.rows.row_patterns import frames, patterns_of, turns_of
from geometry.layout.rows.stacks import Stack
from geometry.layout.sides import size_of
from geometry.layout.strips.strips import KnownStrip, row_strips
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Placement, shifted

#: Pieces up to which they are also laid one by one, all kinds together.
MAX_FREE = 150
#: Pieces of a kind up to which all its patterns are measured for so many, not the densest alone;
#: of more they are where those take this much more than what the pieces cover.
_MAX_STRIP, _NEARLY_FULL = 3_000, 1.03
_HALVINGS = 24
#: Turns of a piece that is laid one by one where rows do not go.
_FEW_TURNS = 8
#: Steps for one row pattern refined and laid. Own measurement.
_STEPS_PER_PATTERN = 12.0


@dataclass(frozen=True)
class KindRows:
    """How one kind of piece is laid in rows.

    Args:
        gap: least distance between outlines, mm.
        effort: how much is tried.
        budget: that is spent.
        patterns: number of row patterns that are refined.
    """

    gap: float
    effort: Effort
    budget: Budget
    patterns: int

    def shortest(self, item: Item, room: WorkArea) -> tuple[Placement, ...]:
        """Return rows that hold all of one kind on the least length.

        Raises:
            DoesNotFit: when the piece is wider than the roll.
            SearchEnded: when the budget is spent.
        """
        return self.ways(item, room)[-1]

    def ways(self, item: Item, room: WorkArea) -> tuple[tuple[Placement, ...], ...]:
        """Return ever shorter rows that hold all of one kind, the shortest last.

        Raises:
            DoesNotFit: when the piece is wider than the roll.
            SearchEnded: when the budget is spent.
        """
        band = self._band(item, room)
        return (band, *self._shorter(item, band, room))

    def _band(self, item: Item, room: WorkArea) -> tuple[Placement, ...]:
        surely = fitting_turn(item, room)
        tries: list[tuple[float, int, Stack, bool]] = []
        shape, turns = turns_of(item, surely, self.gap, self.effort)
        for turn in turns:
            for local, uprights in frames(item, turn):
                for stack, upright in product(patterns_of(shape, item, local).stacks, uprights):
                    tries.append((-round(stack.density, 9), len(tries), stack, upright))
        best: tuple[Placement, ...] = ()
        least = room.bounds.width
        for _, _, stack, upright in sorted(tries, key=lambda each: each[:2])[: self.patterns]:
            self.budget.spend(_STEPS_PER_PATTERN)
            fine = stack.refined
            if fine is None:
                continue
            length = _length(fine, upright, item.quantity, least, room.bounds.height)
            if length is not None and (not best or length < least):
                least = length
                strip = WorkArea.rectangle(
                    room.bounds.left, room.bounds.bottom, length, room.bounds.height
                )
                rows = lay(fine, *size_of(strip, upright=upright))
                found = list(placements_of(item.piece, rows, upright, strip))
                best = _leftmost(found, item)
        if not best:
            placed: list[Placed] = []
            add(
                item,
                item.quantity,
                room,
                placed,
                gap=self.gap,
                turns=_FEW_TURNS,
                budget=self.budget,
            )
            best = tuple(each.placement for each in placed)
        return best

    def _shorter(
        self, item: Item, band: tuple[Placement, ...], room: WorkArea
    ) -> Iterator[tuple[Placement, ...]]:
        """Yield rows that hold the pieces on ever less length, if it is less than a band's.

        The densest rows need not be the shortest: others end sooner, or fit the width better.
        """
        outlines, left = {item.piece: item.outline}, room.bounds.left
        if item.quantity > _MAX_STRIP:
            covered = grown_area(item.outline, self.gap) * item.quantity / room.bounds.height
            if end_of(band, outlines) - left <= _NEARLY_FULL * covered:
                return
        shorter = stretch_of(room, left, end_of(band, outlines) - left)
        if not _holds_one(item, shorter):
            return
        known = KnownStrip()
        found = row_strips(
            item,
            shorter,
            item.quantity,
            gap=self.gap,
            effort=self.effort,
            budget=self.budget,
            known=known,
            from_left_only=True,
        )
        for _ in found:
            filling = known.filling
            moved = shifted(filling, left - placement_bounds(filling, outlines).left, 0.0)
            if end_of(moved, outlines) < end_of(band, outlines):
                band = moved
                yield band


def stretch_of(room: WorkArea, left: float, length: float) -> WorkArea:
    """Return a length of a roll, from a place on it."""
    box = room.bounds
    return WorkArea.rectangle(left, box.bottom, length, box.height)


def end_of(placements: Sequence[Placement], outlines: Mapping[str, Outline]) -> float:
    """Return where placements end along the roll, mm."""
    return max(ends_of(placements, outlines))


def ends_of(placements: Sequence[Placement], outlines: Mapping[str, Outline]) -> list[float]:
    """Return where each piece ends along the roll, mm; each turn of a kind is measured once."""
    reach: dict[tuple[str, float, bool], float] = {}
    ends = []
    for each in placements:
        move = each.move
        key = (each.piece, move.turn_deg, move.mirrored)
        if key not in reach:
            reach[key] = turned(outlines[each.piece], move.turn_deg, move.mirrored).bounds.right
        ends.append(move.x + reach[key])
    return ends


def _holds_one(item: Item, room: WorkArea) -> bool:
    """Return whether a piece fits; rows of one piece end a hair before its box does by rounding."""
    try:
        fitting_turn(item, room)
    except DoesNotFit:
        return False
    return True


def _leftmost(found: list[Placement], item: Item) -> tuple[Placement, ...]:
    rights = ends_of(found, {item.piece: item.outline})
    ends = sorted((round(right, 6), index) for index, right in enumerate(rights))
    kept = {index for _, index in ends[: item.quantity]}
    return tuple(each for index, each in enumerate(found) if index in kept)


def _length(
    stack: Stack,
    upright: bool,  # noqa: FBT001 - as found
    wanted: int,
    longest: float,
    height: float,
) -> float | None:
    """Return the least length of roll on which rows hold all, or ``None`` above the longest."""

    def enough(length: float) -> bool:
        frame = (height, length) if upright else (length, height)
        return most_held(stack, *frame) >= wanted

    if not enough(longest):
        return None
    low, high = 0.0, longest
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if enough(middle):
            high = middle
        else:
            low = middle
    return high
