"""As many pieces of one kind as a work area of any shape holds: rows, then the edges."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache, partial
from typing import TypeAlias, TypeVar

import numpy as np

from geometry.layout.beds.bed_rows import BedRows
from geometry.layout.beds.round_beds import round_fillings
from geometry.layout.beds.rows_from_sides import (
    closed_up,
    flush_with_sides,
    from_sides,
    stacked_from_sides,
)
from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed, Side, Variant, add, variants
from geometry.layout.fitting.fit import DoesNotFit, candidate_turns
from geometry.layout.fitting.inner_fit import inner_fit
from geometry.layout.fitting.strip_ends import EndOrder, end_orders
from geometry.layout.item import Filling, Item
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_patterns import shape_of
from geometry.layout.rows.row_units import Unit, UnitShape, drawn_together, units_of
from geometry.layout.rows.stacks import Stack, stacks
from geometry.layout.strip_areas import strip_areas
from geometry.model.cutter import WorkArea
from geometry.model.transform import scaled

_HALVINGS = 30
#: Turns tried before a piece is refused.
_TURNS = 24
#: Pieces up to which edges are filled piece by piece, and in the first stage, which is never cut.
_MAX_EDGED, _MAX_EDGED_QUICK = 600, 120
#: Steps for one pattern of interlocked rows, and of free ones. Own measurement.
_STEPS_INTERLOCKED, _STEPS_FREE = 25.0, 15.0
#: Pieces up to which a strip is also filled piece by piece, and in the first stage.
_MAX_SINGLY, _MAX_SINGLY_QUICK = 40, 12
#: Pieces up to which rows are also begun at the sides, steps for that with one pattern, and how
#: many of the densest are also moved along to lie closer.
_MAX_FROM_SIDES, _STEPS_FROM_SIDES, _CLOSED_UP = 12, 25.0, 4
#: Steps for one pattern of more pieces whose rows begin at the sides. Own measurement.
_STEPS_FLUSH = 3.0
#: Shares that differ by less are the same strip.
_SAME = 1e-9

#: Beds, and the patterns of interlocked and of free rows that are laid in them.
_Known: TypeAlias = tuple[list[BedRows], list[tuple[float, Stack]], list[tuple[float, Unit]]]


def irregular_fillings(
    item: Item, room: WorkArea, *, gap: float, effort: Effort, budget: Budget
) -> Iterator[list[Placed]]:
    """Yield ever fuller fillings of an area of any shape with an item's outlines.

    Shape:
        At least one outline, and no more than wanted.

    Raises:
        DoesNotFit: when not even one fits.
        SearchEnded: when the budget is spent.
    """
    best: list[Placed] = []
    if not add(item, 1, room, best, gap=gap, turns=effort.turns_per_piece, budget=budget) and not (
        add(item, 1, room, best, gap=gap, turns=_TURNS, budget=budget)
    ):
        raise _too_large(item, room)
    yield best
    tries: list[tuple[int, int, list[Placed]]] = []
    for number, laid in enumerate(_rows(item, room, gap, effort, budget)):
        tries.append((-len(laid), number, laid))
        if len(laid) > len(best):
            best = laid[: item.quantity]
            yield best
        if len(best) >= item.quantity:
            return
    fullest = [laid for _, _, laid in sorted(tries, key=lambda each: each[:2])]
    most = _MAX_EDGED if effort.edge_fillings else _MAX_EDGED_QUICK
    for laid in ([], *fullest[: effort.edged_lattices]):
        if max(len(laid), len(best)) > most or len(best) >= item.quantity:
            continue
        placed = list(laid)
        missing = item.quantity - len(placed)
        turns = effort.turns_per_piece
        add(item, missing, room, placed, gap=gap, turns=turns, budget=budget)
        if len(placed) > len(best):
            best = placed
            yield best
    yield from round_fillings(item, room, len(best), gap=gap, effort=effort, budget=budget)


def irregular_strips(
    item: Item, room: WorkArea, count: int, *, gap: float, effort: Effort, budget: Budget
) -> Iterator[list[Placed]]:
    """Yield ``count`` outlines on ever smaller strips of an area of any shape.

    Of every pattern of rows the pieces that end first from one of the four sides are taken; a few
    are also put piece by piece against each side. Nothing where neither holds so many.

    Raises:
        SearchEnded: when the budget is spent.
    """
    least, areas = math.inf, strip_areas(room)
    for laid in _laid(item, room, count, gap=gap, effort=effort, budget=budget):
        if len(laid) < count:
            continue
        for first in end_orders(laid, count):
            share = areas.least_share(first.box(count))
            if share < least - _SAME:
                least = share
                yield list(first.pieces)


def irregular_shares(
    item: Item, room: WorkArea, most: int, *, gap: float, effort: Effort, budget: Budget
) -> tuple[Values, dict[int, Callable[[], Filling]]]:
    """Return the least share of an area of any shape that rows of 0, 1, 2 ... pieces take.

    Shape:
        One entry for each number of pieces up to ``most``, infinite where no rows hold so many,
        and what lays so many.

    Raises:
        SearchEnded: when the budget is spent.
    """
    shares = np.full(most + 1, np.inf)
    found: dict[int, Callable[[], Filling]] = {}
    areas = strip_areas(room)
    for laid in _rows(item, room, gap, effort, budget):
        for first in end_orders(laid, most):
            reached = np.round(first.ends, 3)
            # Pieces that end alike take the same strip.
            held = 1 + np.flatnonzero(np.append(reached[1:] != reached[:-1], True))
            for count in held[::-1].tolist():
                share = areas.least_share(first.box(count))
                # A strip that holds more holds fewer.
                for fewer in range(count, 0, -1):
                    if share >= shares[fewer]:
                        break
                    shares[fewer], found[fewer] = share, partial(_first_pieces, first, fewer)
    return shares, found


def _first_pieces(order: EndOrder, count: int) -> Filling:
    return tuple(each.placement for each in order.pieces[:count])


def _laid(
    item: Item, room: WorkArea, count: int, *, gap: float, effort: Effort, budget: Budget
) -> Iterator[list[Placed]]:
    """Yield pieces in rows, then piece by piece from each side."""
    yield from _rows(item, room, gap, effort, budget)
    if count <= _MAX_FROM_SIDES:
        yield from _from_sides(item, room, count, gap, effort, budget)
    else:
        yield from _at_sides(item, room, count, gap, effort, budget)
    if count > (_MAX_SINGLY if effort.edge_fillings else _MAX_SINGLY_QUICK):
        return
    for side in Side:
        singly: list[Placed] = []
        turns = effort.turns_per_piece
        add(item, count, room, singly, gap=gap, turns=turns, budget=budget, side=side)
        yield singly


def _from_sides(
    item: Item, room: WorkArea, count: int, gap: float, effort: Effort, budget: Budget
) -> Iterator[list[Placed]]:
    """Yield the densest rows that begin as near to a side as so many go, free and interlocked."""
    shape, known = _known(item, room, gap)
    for beds, interlocked, free in known:
        single = [(density, unit) for density, unit in free if len(unit.members) == 1]
        for number, (bed, unit) in enumerate(_first(single, beds, effort.lattices)):
            budget.spend(_STEPS_FROM_SIDES)
            close = drawn_together(shape, unit)
            yield from from_sides(bed, close, gap, count)
            if effort.edge_fillings and number < _CLOSED_UP:
                yield from closed_up(bed, close, shape, count)
        for bed, stack in _first(interlocked, beds, effort.lattices):
            if stack.refined is not None:
                budget.spend(_STEPS_FROM_SIDES)
                yield from stacked_from_sides(bed, stack.refined, count)


def _at_sides(
    item: Item, room: WorkArea, count: int, gap: float, effort: Effort, budget: Budget
) -> Iterator[list[Placed]]:
    """Yield the densest interlocked rows, begun at a side: the fullest may stand off from it."""
    _, known = _known(item, room, gap)
    for beds, interlocked, _ in known:
        for bed, stack in _first(interlocked, beds, effort.lattices):
            if stack.refined is not None:
                budget.spend(_STEPS_FLUSH)
                yield from flush_with_sides(bed, stack.refined, count)


def _too_large(item: Item, room: WorkArea) -> DoesNotFit:
    """Return the refusal of an item, with the largest size that would fit."""
    low, high = 0.0, 1.0
    ways = variants(item, _TURNS)
    best = ways[0]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        fit = [
            way
            for way in ways
            if not inner_fit(
                room, Variant(way.turn_deg, scaled(item.outline, middle), way.mirrored).outline
            ).is_empty
        ]
        if fit:
            low, best = middle, fit[0]
        else:
            high = middle
    box, limit = best.outline.bounds, room.bounds
    return DoesNotFit(
        item.piece, (box.width, box.height), (limit.width, limit.height), max(low, 1e-9)
    )


def _rows(
    item: Item, room: WorkArea, gap: float, effort: Effort, budget: Budget
) -> Iterator[list[Placed]]:
    """Yield the pieces of patterns of rows: interlocked and free ones, the densest of each first.

    Raises:
        SearchEnded: when the budget is spent.
    """
    shape, known = _known(item, room, gap)
    for beds, interlocked, free in known:
        for bed, unit in _first(free, beds, effort.lattices):
            budget.spend(_STEPS_FREE)
            yield bed.free(drawn_together(shape, unit), gap)
        for bed, stack in _first(interlocked, beds, effort.lattices):
            if stack.refined is not None:
                budget.spend(_STEPS_INTERLOCKED)
                yield bed.interlocked(stack.refined)


def _known(item: Item, room: WorkArea, gap: float) -> tuple[UnitShape, list[_Known]]:
    """Return an item's shape, and the beds that its rows are laid in with its patterns.

    Turns that are stated keep to them in rows along y as well: those are made of the piece turned
    by a quarter, and turned back with the bed.
    """
    shape, turns, stated = shape_of(item.outline, gap), candidate_turns(item), item.stated_turns_deg
    # The turns are in the patterns: all ways of turning a piece share its beds.
    lying, standing = _beds(replace(item, quantity=1, turns="free", per_set=0), room)
    half_turns = stated is None or all((turn + 180.0) % 360.0 in stated for turn in stated)
    if stated is None:
        return shape, [([lying, standing], *_patterns(shape, turns, half_turns))]
    upright = tuple((turn - standing.quarter_deg) % 360.0 for turn in turns)
    ways = ((lying, turns), (standing, upright))
    return shape, [([bed], *_patterns(shape, each, half_turns)) for bed, each in ways]


@lru_cache(maxsize=16)
def _beds(item: Item, room: WorkArea) -> tuple[BedRows, BedRows]:
    """Return the beds that rows are laid in, each with the rows that were laid in it so far."""
    return BedRows(item, room, 0.0), BedRows(item, room, -90.0)


@lru_cache(maxsize=64)
def _patterns(
    shape: UnitShape,
    turns: tuple[float, ...],
    half_turns: bool,  # noqa: FBT001 - as the item states
) -> tuple[list[tuple[float, Stack]], list[tuple[float, Unit]]]:
    """Return the patterns of interlocked and of free rows, each with its pieces per mm2."""
    interlocked: list[tuple[float, Stack]] = []
    free: list[tuple[float, Unit]] = []
    for turn in turns:
        for unit in units_of(shape, turn, half_turns=half_turns):
            tall = unit.top - unit.bottom + shape.gap
            free.append((len(unit.members) / (unit.period * tall), unit))
            found = stacks(shape, unit, half_turns=half_turns)
            interlocked.extend((stack.density, stack) for stack in found)
    return interlocked, free


_Pattern = TypeVar("_Pattern")


def _first(
    patterns: Sequence[tuple[float, _Pattern]], beds: Sequence[BedRows], most: int
) -> list[tuple[BedRows, _Pattern]]:
    """Return the densest patterns, at most so many, each along both sides of the bed it may use."""
    order = sorted(range(len(patterns)), key=lambda at: (-round(patterns[at][0], 9), at))
    return [(bed, patterns[at][1]) for at in order for bed in beds][:most]
