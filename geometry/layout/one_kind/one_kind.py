"""As many pieces of one kind as a rectangle holds, in rows."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from itertools import product
from typing import TypeAlias

from geometry.layout.beds.irregular_area import irregular_fillings
from geometry.layout.bound import most_on_one
from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import add, placed_of
from geometry.layout.fitting.fit import fitting_turn
from geometry.layout.fitting.holding_polygons import turned
from geometry.layout.item import Filling, Item
from geometry.layout.recent import Recent
from geometry.layout.rows.box_rows import fullest_boxes
from geometry.layout.rows.measured_rows import most_held
from geometry.layout.rows.row_blocks import MAX_IN_BLOCKS, row_blocks
from geometry.layout.rows.row_laying import Row, count_of, lay, placements_of
from geometry.layout.rows.row_patterns import (
    distinct_turns,
    frames,
    patterns_of,
    shape_of,
    spread_patterns_of,
)
from geometry.layout.rows.row_units import UnitShape, units_of
from geometry.layout.rows.squeezed_rows import squeezed
from geometry.layout.rows.stacks import Stack, stacks
from geometry.layout.rows.stepped_rows import fullest_steps
from geometry.layout.sides import size_of
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement
from geometry.model.transform import Rigid

#: Share of the room's area below which an order counts as easy to place.
_EASY = 0.6
#: Pieces up to which the edges of a filling are filled: they matter ever less as loads hold more.
_MAX_EDGED = 600
#: Share of the fullest rows that others must be able to reach to be laid at all.
_NEAR = 0.95
#: Part of the tries for outlines with arcs, which take ten times as long to draw together.
_FEWER = 0.4
#: Steps for the row patterns of one turn, and for one refined pattern of straight edges or of
#: arcs; turns with arcs take several times as long. Own measurement.
_STEPS_PER_TURN, _STEPS_STRAIGHT, _STEPS_ARCS, _ARCS = 8.0, 6.0, 40.0, 4.0

#: Pieces held and density, each negative; number; the stack; whether its rows stand up, and whether
#: they are spread.
_Try: TypeAlias = tuple[int, float, int, Stack, bool, bool]


def fillings(
    item: Item,
    room: WorkArea,
    *,
    gap: float,
    effort: Effort,
    budget: Budget,
    enough: int | None = None,
) -> Iterator[Filling]:
    """Yield ever fuller fillings with an item's outlines, at least one when not cut short.

    Args:
        item: what to place; its quantity is wanted.
        room: where it goes.
        gap: least distance between outlines, mm.
        effort: how wide to search.
        budget: pays for it.
        enough: number at which the search may end, because more would save no load.

    Shape:
        At least one placement: rows from the bottom up, left to right, then those at the edges.

    Raises:
        DoesNotFit: when not even one fits.
        SearchEnded: when the budget is spent.
    """
    if not room.is_rectangle:
        irregular = irregular_fillings(item, room, gap=gap, effort=effort, budget=budget)
        yield from (tuple(each.placement for each in placed) for placed in irregular)
        return
    surely = fitting_turn(item, room)
    limit = min(item.quantity, most_on_one(item, room, gap))
    goal = limit if enough is None else min(limit, enough)
    shape, known, fullest = shape_of(item.outline, gap), budget.found, 0
    tries: list[_Try] = []
    for turn in distinct_turns(item, surely, effort):
        budget.spend(_STEPS_PER_TURN * (1.0 if shape.exact else _ARCS))
        found = _enough(shape, item, turn, room, limit)
        if not found:
            more = _tries(shape, item, turn, room, len(tries), fullest, known, spread=effort.spread)
            tries.extend(more)
            fullest = max((fullest, *(-each[0] for each in more)))
            found = _holding(goal, more, room, known)
        if found:
            yield tuple(placements_of(item.piece, *found, room))
            return
    best = _alone(item, surely, room)
    refined = _refined_fillings(item, room, tries, best, limit, gap, effort, budget)
    yield next(refined, best)
    yield from refined


def _alone(item: Item, turn: float, room: WorkArea) -> Filling:
    """Return one outline at this turn in the room's lower left corner."""
    box, lone = room.bounds, turned(item.outline, turn).bounds
    return (Placement(item.piece, Rigid(turn, box.left - lone.left, box.bottom - lone.bottom)),)


def _refined_fillings(
    item: Item,
    room: WorkArea,
    tries: list[_Try],
    best: Filling,
    limit: int,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> Iterator[Filling]:
    """Yield fuller fillings from refined rows, then with what still fits at their edges."""
    exact = not item.outline.has_arcs
    laid: list[tuple[int, int, Filling]] = [(-1, -1, best)]
    for number, _, _, stack, upright, _ in _promising(tries, effort, exact=exact):
        budget.spend(_STEPS_STRAIGHT if exact else _STEPS_ARCS)
        if len(best) >= limit:
            return
        rows = _laid(stack, room, upright=upright)
        if count_of(rows):
            placements = tuple(placements_of(item.piece, rows, upright, room))
            laid.append((-len(placements), number, placements))
            if len(placements) > len(best):
                best = placements[:limit]
                yield best
    plain = (fullest_boxes(item, room, gap)[:limit], fullest_steps(item, room, gap, effort)[:limit])
    for placements in (*plain, *_in_blocks(item, room, limit, gap, effort, budget)):
        laid.append((-len(placements), len(tries), placements))
        if len(placements) > len(best):
            best = placements
            yield best
    if not effort.edge_fillings:
        return
    laid.sort(key=lambda each: each[:2])
    # From nothing, too: where few fit, no rows may be better than any.
    most = effort.edge_fillings if exact else math.ceil(_FEWER * effort.edge_fillings)
    for placements in (*(each[2] for each in laid[:most]), ()):
        if len(best) >= limit:
            return
        if max(len(placements), len(best)) > _MAX_EDGED:
            continue
        placed = placed_of(placements, {item.piece: item.outline})
        add(item, limit - len(placed), room, placed, gap=gap, turns=_EDGE_TURNS, budget=budget)
        if len(placed) > len(best):
            best = (*placements, *(each.placement for each in placed[len(placements) :]))
            yield best
    yield from _squeezed(item, room, len(best), limit, gap, effort, budget)


def _in_blocks(
    item: Item, room: WorkArea, limit: int, gap: float, effort: Effort, budget: Budget
) -> Iterator[Filling]:
    """Yield the fullest two blocks of rows along each side of the room."""
    if not effort.blocks or limit > MAX_IN_BLOCKS:
        return
    for blocks in row_blocks(item, room, limit, gap=gap, effort=effort, budget=budget):
        yield blocks.filling(blocks.fullest)


def _squeezed(
    item: Item,
    room: WorkArea,
    count: int,
    limit: int,
    gap: float,
    effort: Effort,
    budget: Budget,
) -> Iterator[Filling]:
    """Yield one piece more at a time where squeezed rows hold it and a fuller load saves one."""
    while (
        effort.squeezed
        and count < limit
        and math.ceil(item.quantity / limit) < math.ceil(item.quantity / count)
    ):
        count += 1
        found = squeezed(item, room, count, gap=gap, effort=effort, budget=budget)
        if found is None:
            return
        yield tuple(each.placement for each in found)


#: Turns tried for each piece at the edges of rows.
_EDGE_TURNS = 8


def _enough(
    shape: UnitShape, item: Item, turn: float, room: WorkArea, wanted: int
) -> tuple[list[Row], bool] | None:
    """Return plain rows of the single piece when they already hold all that is wanted."""
    if wanted * area(item.outline) > area(room.boundary) * _EASY:
        return None
    for local, uprights in frames(item, turn):
        single = next(iter(units_of(shape, local, half_turns=False)))
        for stack, upright in product(stacks(shape, single, half_turns=False), uprights):
            rows = _laid(stack, room, upright=upright)
            if count_of(rows) >= wanted:
                return rows, upright
    return None


def _tries(
    shape: UnitShape,
    item: Item,
    turn: float,
    room: WorkArea,
    before: int,
    fullest: int,
    known: Recent,
    *,
    spread: bool,
) -> list[_Try]:
    """Return every way to stack rows at one turn, with how much it holds before it is refined.

    Those too loose to come near the fullest so far are not laid, and hold nothing. ``known`` is
    what the search worked out last.
    """
    found: list[_Try] = []
    for local, uprights in frames(item, turn):
        ways = list(product(patterns_of(shape, item, local).stacks, uprights, (False,)))
        for upright in uprights if spread else ():
            width, _ = size_of(room, upright=upright)
            wide = spread_patterns_of(shape, item, local, width)
            ways.extend((stack, upright, True) for stack in wide.stacks)
        sizes = [size_of(room, upright=upright) for _, upright, _ in ways]
        these = tuple([stack for stack, _, _ in ways])
        held = known.known_or_made(
            ("most held", these, tuple(sizes)), partial(most_held, these, sizes)
        )
        for (stack, upright, is_spread), size, most in zip(ways, sizes, held, strict=True):
            count = 0
            if _at_most(stack, *size) >= _NEAR * fullest:
                count = most
                fullest = max(fullest, count)
            number = before + len(found)
            found.append((-count, -stack.density, number, stack, upright, is_spread))
    return found


def _at_most(stack: Stack, width: float, height: float) -> float:
    """Return more pieces than a stack can hold of a frame: no row too many, no copy too many."""
    up = sum(step.dy for step in stack.steps) / len(stack.steps)
    return stack.density * (width + stack.first.period) * (height + up)


def _holding(
    goal: int, tries: list[_Try], room: WorkArea, known: Recent
) -> tuple[list[Row], bool] | None:
    """Return the fullest of the tries, refined, when it holds so many."""
    count, _, _, stack, upright, _ = min(tries, key=lambda each: each[:3])
    if -count < goal:
        return None
    rows = known.known_or_made(
        ("laid", stack, upright, room.bounds), partial(_laid, stack, room, upright=upright)
    )
    return (rows, upright) if count_of(rows) >= goal else None


def _laid(stack: Stack, room: WorkArea, *, upright: bool) -> list[Row]:
    """Return the rows of a stack, refined; none when its rows do not stand."""
    fine = stack.refined
    return lay(fine, *size_of(room, upright=upright)) if fine is not None else []


def _promising(tries: list[_Try], effort: Effort, *, exact: bool) -> list[_Try]:
    """Return the tries worth refining: the fullest and the densest, in turns.

    Rows that are spread come on top of the others: there are so many that nothing else were left.
    """
    most = effort.refined if exact else math.ceil(_FEWER * effort.refined)
    order: list[_Try] = []
    for are_spread in (False, True):
        these = [each for each in tries if each[5] == are_spread]
        fullest = sorted(these, key=lambda each: each[:3])[:most]
        densest = sorted(these, key=lambda each: (each[1], each[0], each[2]))[:most]
        order += [each for pair in zip(fullest, densest, strict=True) for each in pair]
    return list({each[2]: each for each in order}.values())
