"""How much of a roll, or of a sheet, every number of equal pieces takes in rows."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.fit import fitting_turn
from geometry.layout.item import Item
from geometry.layout.rows.many_rows import ManyRows
from geometry.layout.rows.measured_rows import heights_across, lengths_along, of_each
from geometry.layout.rows.row_blocks import STEPS_PER_PATTERN
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.rows.row_patterns import STEPS_PER_TURN, frames, patterns_of, turns_of
from geometry.layout.rows.stacks import Stack
from geometry.model.cutter import WorkArea

#: A pattern of rows, and whether its frame stands upright.
_Way: TypeAlias = tuple[Stack, bool]


def lengths_by_count(
    item: Item,
    room: WorkArea,
    most: int,
    *,
    gap: float,
    effort: Effort,
    budget: Budget,
    from_left: bool = True,
) -> Values:
    """Return the length of a strip that 0, 1, 2 ... pieces take in rows of one pattern, mm.

    Infinite where it is more than the room's side. The strip is a length of a roll, whose width is
    the room's height, or lies along the lower side of a sheet if not ``from_left``.

    Raises:
        DoesNotFit: when not even one piece fits.
        SearchEnded: when the budget is spent.
    """
    shape, turns = turns_of(item, fitting_turn(item, room), gap, effort)
    ways: list[_Way] = []
    for turn in turns:
        budget.spend(STEPS_PER_TURN[shape.exact])
        for local, uprights in frames(item, turn):
            ways += product(patterns_of(shape, item, local).stacks, uprights)
    rough = np.array(_lengths(ways, room, most, from_left=from_left))
    fine: list[_Way] = []
    for at in _shortest_for_most(rough, effort.refined):
        budget.spend(STEPS_PER_PATTERN[shape.exact])
        stack, upright = ways[at]
        if stack.refined is not None:
            fine.append((stack.refined, upright))
    if not fine:
        return np.where(np.arange(most + 1) == 0, 0.0, np.inf)
    lengths: Values = np.array(_lengths(fine, room, most, from_left=from_left)).min(axis=0)
    side = room.bounds.width if from_left else room.bounds.height
    return np.where(lengths <= side + SLACK, lengths, np.inf)


def _shortest_for_most(lengths: Values, count: int) -> list[int]:
    """Return the patterns that are the shortest for the most numbers of pieces."""
    numbers, wins = np.unique(np.round(lengths, 6)[:, 1:].argmin(axis=0), return_counts=True)
    return [int(numbers[at]) for at in np.argsort(-wins, kind="stable")[:count]]


def _lengths(ways: Sequence[_Way], room: WorkArea, most: int, *, from_left: bool) -> list[Values]:
    """Return the lengths of strip of each pattern."""
    width, length = room.bounds.height, room.bounds.width
    if not from_left:
        width, length = length, width
    found: dict[int, Values] = {}
    for across in (False, True):
        here = [at for at, (_, upright) in enumerate(ways) if (upright is from_left) is across]

        def measured(rows: ManyRows, these: NDArray[np.int64], *, across: bool = across) -> Values:
            widths = np.full(len(these), width)
            if not across:
                return lengths_along(rows, most, widths)
            return heights_across(rows, most, widths, np.full(len(these), length))

        found |= zip(here, of_each([ways[at][0] for at in here], measured), strict=True)
    return [found[at] for at in range(len(ways))]
