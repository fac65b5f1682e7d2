"""Layouts of a number of equal pieces on the shortest strip of a sheet, along either side."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import chain, starmap
from operator import itemgetter

from geometry.layout.blocks_beside import blocks_on_strips
from geometry.layout.effort import Budget, Effort
from geometry.layout.fit import fitting_turn
from geometry.layout.item import Filling, Item
from geometry.layout.loose_rows import LooseRows, loose_rows, lowest, turned_rows
from geometry.layout.row_blocks import MAX_IN_BLOCKS, row_blocks
from geometry.layout.row_figures import Figures
from geometry.layout.row_patterns import (
    Patterns,
    frames,
    patterns_of,
    spread_patterns_of,
    turns_of,
    turns_too,
)
from geometry.layout.row_strips import Strip, strip_across, strip_along
from geometry.layout.row_units import UnitShape
from geometry.layout.rows import Stack
from geometry.layout.sides import moved_into, size_of
from geometry.layout.squeezed_strips import Squeezed, squeezed_strips
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement

#: Steps for the patterns of one turn, and for one pattern refined and laid, by whether the
#: outline is straight. Own measurement.
_STEPS_PER_TURN = {True: 6.0, False: 30.0}
_STEPS_PER_PATTERN = {True: 4.0, False: 40.0}
#: Shares that differ by less are the same strip.
_SAME = 1e-9
#: Refining its rows shortens a strip by at most this factor.
_REFINED = 1.03
#: Minimum number of turns for loose rows; comparing them takes little time.
_LOOSE_TURNS = 6
#: Share of the loose rows tried for outlines with arcs: these take ten times as long.
_FEWER = 0.25
#: Loose rows are laid if they seem shorter than the known share times this: heights are estimates.
_NEARLY = 1.002
#: Number of stacks refined for one pattern of loose rows, by whether the outline is straight.
_LOOSE_REFINED = {True: 2, False: 1}
#: Before refinement, rows may be higher than the strip by this factor.
_HIGHER = 1.1


@dataclass(frozen=True)
class _Way:
    """A pattern and a direction: a bound for its share of the sheet, then the share itself."""

    share: float
    stack: Stack
    upright: bool
    along: bool


@dataclass
class KnownStrip:
    """What is known of the strips of one kind and number of pieces, from stage to stage.

    Attributes:
        share: of the rectangle that the shortest strip takes.
        filling: its pieces.
    """

    share: float = 1.0 + 2.0 * _SAME
    filling: Filling = ()
    squeezed: Squeezed = field(default_factory=Squeezed)
    _shares: dict[tuple[int, bool, bool], tuple[Stack, float]] = field(default_factory=dict)

    def kept(self, share: float, filling: Filling) -> Filling:
        """Keep a filling as the shortest that is known, and return it."""
        self.share, self.filling = share, filling
        return filling

    def share_of(self, way: _Way, room: WorkArea, count: int) -> float:
        """Return the share that a pattern takes before it is refined, measured once."""
        key = (id(way.stack), way.upright, way.along)
        if key not in self._shares:
            figures = way.stack.figures
            laid = _laid(figures, room, count, upright=way.upright, along=way.along)
            # The stack is kept alive, so that no other stack can get its ``id``.
            self._shares[key] = (way.stack, math.inf if laid is None else laid[0])
        return self._shares[key][1]


def row_strips(
    item: Item,
    room: WorkArea,
    count: int,
    *,
    gap: float,
    effort: Effort,
    budget: Budget,
    known: KnownStrip,
    from_left_only: bool = False,
) -> Iterator[Filling]:
    """Yield fillings of a rectangle with ``count`` pieces in rows on ever shorter strips.

    Yields nothing if no rows take a smaller share of the rectangle than the shortest strip in
    ``known``, which is updated. ``from_left_only`` leaves out strips along the lower side.

    Raises:
        DoesNotFit: when not even one piece fits.
        SearchEnded: when the budget is spent.
    """
    ways, exact = _ways(item, room, count, gap, effort, budget)
    if from_left_only:
        ways = [way for way in ways if way.along is not way.upright]
    shortest = _shortest(ways, room, count, effort.refined, known)
    for way in shortest:
        budget.spend(_STEPS_PER_PATTERN[exact])
        yield from _refined(way, way.stack.refined, item, room, count, known)
    uprights = (True,) if from_left_only else (False, True)
    yield from _in_loose_rows(item, room, count, gap, effort, budget, known, uprights)
    if effort.blocks and count <= MAX_IN_BLOCKS:
        for blocks in row_blocks(item, room, count, gap=gap, effort=effort, budget=budget):
            on = partial(blocks_on_strips, left_only=from_left_only, budget=budget)
            yield from starmap(known.kept, on(blocks, count, known.share))
    for way in shortest:
        yield from _refined(way, way.stack.straight, item, room, count, known)


def _refined(
    way: _Way, fine: Stack | None, item: Item, room: WorkArea, count: int, known: KnownStrip
) -> Iterator[Filling]:
    """Yield the strip of a refined pattern, if it is shorter than the shortest known one."""
    if fine is None:
        return
    laid = _laid(fine.figures, room, count, upright=way.upright, along=way.along)
    if laid is not None and laid[0] < known.share - _SAME:
        moves = sorted(laid[1].moves(), key=lambda each: (round(each.y, 6), each.x))
        places = [moved_into(each, room, upright=way.upright) for each in moves]
        yield known.kept(laid[0], tuple(Placement(item.piece, each) for each in places))


def _in_loose_rows(
    item: Item,
    room: WorkArea,
    count: int,
    gap: float,
    effort: Effort,
    budget: Budget,
    known: KnownStrip,
    stand: tuple[bool, ...],
) -> Iterator[Filling]:
    """Yield ever shorter strips of rows that use the width across the strip to its end.

    ``stand`` are the frames that rows may be laid in: lying, or standing up.
    """
    if not effort.loose:
        return
    wide = replace(effort, turns=max(effort.turns, _LOOSE_TURNS))
    shape, turns = turns_of(item, fitting_turn(item, room), gap, wide)
    half_turns = turns_too(item, 180.0)
    found: dict[tuple[float, float, bool], LooseRows] = {}
    for upright, rows in _loose_rows(
        item, room, count, shape, turns, _NEARLY * known.share, stand, half_turns=half_turns
    ):
        _, height = size_of(room, upright=upright)
        # Turns that look alike make the same rows.
        key = (round(rows.height / height, 9), round(rows.unit.period, 6), upright)
        found.setdefault(key, rows)
    most = effort.loose if shape.exact else math.ceil(_FEWER * effort.loose)
    ordered = sorted(found.items(), key=itemgetter(0))
    for (share, _, upright), rows in lowest(ordered, most):
        if share >= _NEARLY * known.share:
            continue
        budget.spend(_STEPS_PER_PATTERN[shape.exact])
        patterns = rows.patterns(shape, half_turns=half_turns)
        ways = _ways_of(patterns, room, count, upright=upright, along=False)
        for way in _shortest(ways, room, count, _LOOSE_REFINED[shape.exact], known):
            yield from _refined(way, way.stack.refined, item, room, count, known)
    for share, placed in squeezed_strips(
        item,
        room,
        count,
        [(rows, upright) for (_, _, upright), rows in ordered if not rows.is_about],
        known.share,
        shape=shape,
        half_turns=half_turns,
        effort=effort,
        budget=budget,
        squeezed=known.squeezed,
    ):
        yield known.kept(share, tuple(each.placement for each in placed))


def _loose_rows(
    item: Item,
    room: WorkArea,
    count: int,
    shape: UnitShape,
    turns: Sequence[float],
    limit: float,
    stand: tuple[bool, ...],
    *,
    half_turns: bool,
) -> Iterator[tuple[bool, LooseRows]]:
    """Yield rows that use the width across a strip to its end, and whether they stand up."""
    for turn in turns:
        for local, uprights in frames(item, turn):
            for upright in (each for each in uprights if each in stand):
                width, _ = size_of(room, upright=upright)
                for rows in loose_rows(shape, local, width, count, half_turns=half_turns):
                    yield upright, rows
    if item.stated_turns_deg is None:
        for upright in stand:
            width, height = size_of(room, upright=upright)
            for rows in turned_rows(shape, width, count, limit * height):
                yield upright, rows


def _ways(
    item: Item, room: WorkArea, count: int, gap: float, effort: Effort, budget: Budget
) -> tuple[list[_Way], bool]:
    """Return every pattern and direction with a bound, and whether the outline is straight."""
    shape, turns = turns_of(item, fitting_turn(item, room), gap, effort)
    ways: list[_Way] = []
    for turn in turns:
        budget.spend(_STEPS_PER_TURN[shape.exact])
        for local, uprights in frames(item, turn):
            patterns = patterns_of(shape, item, local)
            for upright in uprights:
                both = [
                    _ways_of(patterns, room, count, upright=upright, along=along)
                    for along in (True, False)
                ]
                ways += chain.from_iterable(zip(*both, strict=True))
                if effort.spread:
                    width, _ = size_of(room, upright=upright)
                    wide = spread_patterns_of(shape, item, local, width)
                    ways += _ways_of(wide, room, count, upright=upright, along=False)
    return ways, shape.exact


def _ways_of(
    patterns: Patterns, room: WorkArea, count: int, *, upright: bool, along: bool
) -> list[_Way]:
    """Return ways to lay patterns, each with a bound for its share."""
    if not patterns.stacks:
        return []
    width, height = size_of(room, upright=upright)
    if along:
        bounds = patterns.bounds.along(count, height) / width
    else:
        bounds = patterns.bounds.across(count, width) / height
    return [
        _Way(bound, stack, upright, along)
        for bound, stack in zip(bounds.tolist(), patterns.stacks, strict=True)
    ]


def _shortest(
    ways: Sequence[_Way], room: WorkArea, count: int, most: int, known: KnownStrip
) -> list[_Way]:
    """Return the ways with the shortest strips before they are refined, the shortest first.

    Left out are ways that stay above the known share even if they are refined.

    Ways are laid in the order of their lower bounds, until no other can be among the best.
    """
    found: list[tuple[float, int, _Way]] = []
    limit = min(1.0, _REFINED * known.share) + _SAME
    for number in sorted(range(len(ways)), key=lambda at: (ways[at].share, at)):
        way = ways[number]
        if way.share >= limit:
            break
        share = known.share_of(way, room, count)
        if share >= limit:
            continue
        found.append((round(share, 9), number, replace(way, share=share)))
        found.sort(key=lambda each: each[:2])
        if len(found) >= most:
            del found[most:]
            limit = min(limit, found[-1][2].share + 2.0 * _SAME)
    return [way for _, _, way in found]


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
