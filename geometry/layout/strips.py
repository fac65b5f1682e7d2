"""So many pieces of one kind on the least strip of a sheet, along either side of it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from geometry.layout.effort import Budget, Effort
from geometry.layout.fit import fitting_turn
from geometry.layout.item import Item
from geometry.layout.one_kind import Filling
from geometry.layout.row_figures import Figures
from geometry.layout.row_patterns import frames, patterns_of, turns_of
from geometry.layout.row_strips import Strip, strip_across, strip_along
from geometry.layout.rows import Stack
from geometry.layout.sides import moved_into, size_of
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement

#: Steps for the patterns of one turn, and for one pattern refined and laid, by whether the
#: outline is straight. Own measurement.
_STEPS_PER_TURN = {True: 6.0, False: 30.0}
_STEPS_PER_PATTERN = {True: 4.0, False: 40.0}
#: Shares that differ by less are the same strip.
_SAME = 1e-9
#: Rows before refinement may stand a little higher than they will, as a part of the strip.
_HIGHER = 1.1


@dataclass(frozen=True)
class _Way:
    """A pattern and a direction: a bound for its share of the sheet, then the share itself."""

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
    ways: list[_Way] = []
    for turn in turns:
        budget.spend(_STEPS_PER_TURN[shape.exact])
        for local, uprights in frames(item, turn):
            patterns = patterns_of(shape, item, local)
            for upright in uprights:
                width, height = size_of(room, upright=upright)
                by_length = patterns.bounds.along(count, height) / width
                by_height = patterns.bounds.across(count, width) / height
                for stack, along, across in zip(
                    patterns.stacks, by_length.tolist(), by_height.tolist(), strict=True
                ):
                    ways.append(_Way(along, len(ways), stack, upright, along=True))
                    ways.append(_Way(across, len(ways), stack, upright, along=False))
    best = math.inf
    for way in _shortest(ways, room, count, effort.refined):
        budget.spend(_STEPS_PER_PATTERN[shape.exact])
        fine = way.stack.refined
        if fine is None:
            continue
        laid = _laid(fine.figures, room, count, upright=way.upright, along=way.along)
        if laid is not None and laid[0] < best - _SAME and laid[0] <= 1.0 + _SAME:
            best = laid[0]
            moves = sorted(laid[1].moves(), key=lambda each: (round(each.y, 6), each.x))
            yield tuple(
                Placement(item.piece, moved_into(each, room, upright=way.upright)) for each in moves
            )


def _shortest(ways: list[_Way], room: WorkArea, count: int, most: int) -> list[_Way]:
    """Return the ways with the shortest strips before they are refined, the shortest first.

    Ways are laid in the order of their bounds, until no other can be among the best.
    """
    found: list[_Way] = []
    limit = 1.0 + _SAME
    for way in sorted(ways, key=lambda one: (one.share, one.number)):
        if way.share >= limit:
            break
        laid = _laid(way.stack.figures, room, count, upright=way.upright, along=way.along)
        if laid is None:
            continue
        found.append(_Way(laid[0], way.number, way.stack, way.upright, way.along))
        found.sort(key=lambda one: (round(one.share, 9), one.number))
        if len(found) >= most:
            del found[most:]
            limit = min(limit, found[-1].share + 2.0 * _SAME)
    return found


def _laid(
    figures: Figures, room: WorkArea, count: int, *, upright: bool, along: bool
) -> tuple[float, Strip] | None:
    """Return the share of the sheet that a pattern takes, and its strip."""
    width, height = size_of(room, upright=upright)
    if along:
        found, whole = strip_along(figures, count, height), width
    else:
        found, whole = strip_across(figures, count, width, _HIGHER * height), height
    return None if found is None else (found.length / whole, found)
