"""Rows that nearly fit a rectangle, squeezed into it until they do, some with a piece left out.

A rectangle a few percent larger often holds one row more. Its rows are squeezed to size, with one
piece too many each piece is left out in turn, and the pieces are moved until none overlap.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.fitting.fit import fitting_turn
from geometry.layout.fitting.holding_polygons import Coordinates, is_held_convex
from geometry.layout.fitting.overlap_removal import parted, placed_at
from geometry.layout.fitting.soundness import is_sound
from geometry.layout.item import Item
from geometry.layout.rows.row_laying import lay, most_held
from geometry.layout.rows.row_patterns import frames, patterns_of, spread_patterns_of, turns_of
from geometry.layout.rows.stacks import Stack
from geometry.layout.sides import size_of
from geometry.model.cutter import WorkArea

#: How much larger a rectangle is that rows are squeezed from, in both directions.
_LARGER = (1.01, 1.02, 1.035, 1.055)
#: Pieces above which nothing is squeezed: what one more needs is spread over too many.
_MAX_SQUEEZED = 130
#: Turns that rows are made at, and pieces of one pattern that are left out in turn.
_MAX_TURNS, _MAX_LEFT_OUT = 8, 20
#: Steps for the patterns of one turn. Own measurement.
_STEPS_PER_TURN = 60.0


@dataclass(frozen=True)
class _Large:
    """Rows of a rectangle that is too large: pieces too many, by how much larger, the rows."""

    spare: int
    larger: float
    number: int
    stack: Stack
    upright: bool


def squeezed(
    item: Item, room: WorkArea, count: int, *, gap: float, effort: Effort, budget: Budget
) -> list[Placed] | None:
    """Return so many pieces in a rectangle as squeezed rows hold them, ``None`` where none do.

    Raises:
        DoesNotFit: when not even one piece fits.
        SearchEnded: when the budget is spent.
    """
    if count > _MAX_SQUEEZED or not is_held_convex(item.outline):
        return None
    large = sorted(
        _large(item, room, count, gap, effort, budget),
        key=lambda each: (each.larger, each.spare, each.number),
    )
    for each in large[: effort.squeezed]:
        size = size_of(room, upright=each.upright)
        for turns, places in _starts(each, size):
            found = parted(item.outline, turns, places, size, gap=gap, budget=budget)
            if found is None:
                continue
            placed = placed_at(item, turns, found, room, upright=each.upright)
            if is_sound(placed, room, gap):
                return placed
    return None


def _large(
    item: Item, room: WorkArea, count: int, gap: float, effort: Effort, budget: Budget
) -> Iterator[_Large]:
    """Yield the rows of larger rectangles that hold as many, or one too many."""
    shape, turns = turns_of(item, fitting_turn(item, room), gap, effort)
    number = 0
    for turn in turns[:_MAX_TURNS]:
        budget.spend(_STEPS_PER_TURN)
        for local, uprights in frames(item, turn):
            for upright in uprights:
                seen = set()
                for larger in _LARGER:
                    width, height = (larger * each for each in size_of(room, upright=upright))
                    spread = spread_patterns_of(shape, item, local, width)
                    for stack in (*patterns_of(shape, item, local).stacks, *spread.stacks):
                        held = most_held(stack, width, height)
                        key = (held, round(stack.density, 6))
                        if 0 <= held - count <= 1 and key not in seen:
                            seen.add(key)
                            number += 1
                            yield _Large(held - count, larger, number, stack, upright)


def _starts(large: _Large, size: tuple[float, float]) -> Iterator[tuple[list[float], Coordinates]]:
    """Yield turns and squeezed places: of all pieces, or of all but each one in turn."""
    fine = large.stack.refined or large.stack
    width, height = (large.larger * each for each in size)
    turns: list[float] = []
    rows: list[tuple[float, float]] = []
    for row in lay(fine, width, height):
        for index, start, copies in row.starts:
            each = row.unit.members[index]
            turns.extend([each.turn_deg] * copies)
            along = (start + copy * row.unit.period for copy in range(copies))
            rows.extend((x, row.y + each.y) for x in along)
    places = np.array(rows) / large.larger
    if not large.spare:
        yield turns, places
        return
    every = max(1, len(turns) // _MAX_LEFT_OUT)
    for left_out in range(0, len(turns), every):
        kept = [at for at in range(len(turns)) if at != left_out]
        yield [turns[at] for at in kept], places[kept]
