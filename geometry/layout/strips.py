"""So many pieces of one kind on the least strip of a sheet, along either side of it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from geometry.layout.effort import Budget, Effort
from geometry.layout.fit import fitting_turn
from geometry.layout.item import Item
from geometry.layout.one_kind import Filling, frames, stacks_of, turns_of
from geometry.layout.row_strips import Spot, strip_across, strip_along
from geometry.layout.rows import Stack
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement
from geometry.model.transform import Rigid

#: Steps for the patterns of one turn, and for one pattern refined and laid, by whether the
#: outline is straight. Own measurement.
_STEPS_PER_TURN = {True: 6.0, False: 30.0}
_STEPS_PER_PATTERN = {True: 4.0, False: 40.0}
#: Shares that differ by less are the same strip.
_SAME = 1e-9


@dataclass(frozen=True)
class _Found:
    """A strip: its share of the sheet, and how its rows are laid."""

    share: float
    number: int
    stack: Stack
    upright: bool
    along: bool


def row_strips(
    item: Item,
    room: WorkArea,
    count: int,
    *,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> Iterator[Filling]:
    """Yield fillings of a rectangle with ``count`` pieces in rows on ever shorter strips.

    Nothing where no rows hold so many.

    Raises:
        DoesNotFit: when not even one piece fits.
        SearchEnded: when the budget is spent.
    """
    shape, turns = turns_of(item, fitting_turn(item, room), gap, effort)
    found: list[_Found] = []
    least = 1.0 + _SAME
    for turn in turns:
        budget.spend(_STEPS_PER_TURN[shape.exact])
        for local, uprights in frames(item, turn):
            for stack in stacks_of(shape, item, local):
                for upright in uprights:
                    for each in _strips(stack, upright, room, count, len(found), least):
                        found.append(each)
                        least = min(least, 1.05 * each.share)
    best = math.inf
    for each in sorted(found, key=lambda one: (round(one.share, 9), one.number))[: effort.refined]:
        budget.spend(_STEPS_PER_PATTERN[shape.exact])
        fine = each.stack.refined
        if fine is None:
            continue
        laid = _laid(fine, room, count, upright=each.upright, along=each.along)
        if laid is not None and laid[0] < best - _SAME and laid[0] <= 1.0 + _SAME:
            best = laid[0]
            yield _placements(item.piece, laid[1], room, upright=each.upright)


def _strips(
    stack: Stack,
    upright: bool,  # noqa: FBT001 - as found
    room: WorkArea,
    count: int,
    number: int,
    least: float,
) -> Iterator[_Found]:
    """Yield the strips of a pattern before it is refined, where they may be among the least."""
    width, height = _frame(room, upright=upright)
    up = sum(step.dy for step in stack.steps) / len(stack.steps)
    bounds = (
        (True, (count / (stack.density * (height + up)) - stack.first.period) / width),
        (False, (count / (stack.density * (width + stack.first.period)) - up) / height),
    )
    for along, bound in bounds:
        if bound < least:
            laid = _laid(stack, room, count, upright=upright, along=along)
            if laid is not None:
                yield _Found(laid[0], number, stack, upright, along)


def _laid(
    stack: Stack, room: WorkArea, count: int, *, upright: bool, along: bool
) -> tuple[float, list[Spot]] | None:
    """Return the share of the sheet that a pattern takes, and its pieces."""
    width, height = _frame(room, upright=upright)
    if along:
        found = strip_along(stack, count, height)
        whole = width
    else:
        # Rows before refinement may stand a little higher than they will.
        found = strip_across(stack, count, width, 1.1 * height)
        whole = height
    return None if found is None else (found[0] / whole, found[1])


def _frame(room: WorkArea, *, upright: bool) -> tuple[float, float]:
    box = room.bounds
    return (box.height, box.width) if upright else (box.width, box.height)


def _placements(piece: str, spots: list[Spot], room: WorkArea, *, upright: bool) -> Filling:
    box = room.bounds
    rows = sorted(spots, key=lambda spot: (round(spot.y, 6), spot.x))
    if upright:
        return tuple(
            Placement(
                piece, Rigid((each.turn_deg - 90.0) % 360.0, box.left + each.y, box.top - each.x)
            )
            for each in rows
        )
    return tuple(
        Placement(piece, Rigid(each.turn_deg, box.left + each.x, box.bottom + each.y))
        for each in rows
    )
