"""Layouts of a number of equal pieces on the shortest strip of a sheet, along either side."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import chain

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.fitting.fit import fitting_turn
from geometry.layout.item import Filling, Item
from geometry.layout.rows.box_rows import shortest_boxes
from geometry.layout.rows.loose_rows import lowest
from geometry.layout.rows.row_blocks import MAX_IN_BLOCKS, row_blocks
from geometry.layout.rows.row_figures import Figures
from geometry.layout.rows.row_patterns import STEPS_PER_TURN, turns_of, turns_too
from geometry.layout.rows.row_strips import Strip, strip_across, strip_along
from geometry.layout.rows.rows_by_height import ordered_rows
from geometry.layout.rows.stacks import Stack
from geometry.layout.rows.stepped_rows import shortest_steps
from geometry.layout.sides import moved_into, size_of
from geometry.layout.strips.blocks_beside import blocks_on_strips, first_strips
from geometry.layout.strips.row_ways import (
    HIGHER,
    RowWay,
    RowWays,
    known_shares,
    row_ways,
    shares_of,
    ways_of,
)
from geometry.layout.strips.squeezed_strips import Squeezed, squeezed_strips
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement

#: Steps for one pattern refined and laid, by whether the outline is straight. Own measurement.
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


@dataclass
class KnownStrip:
    """What is known of the strips of one kind and number of pieces, from stage to stage.

    Attributes:
        share: of the rectangle that the shortest strip takes.
        first_is_over: whether the first stage, which finds the same again, has sought them.
        squeezed: what need not be squeezed again.
    """

    share: float = 1.0 + 2.0 * _SAME
    first_is_over: bool = False
    squeezed: Squeezed = field(default_factory=Squeezed)
    _shares: dict[RowWay, float] = field(default_factory=dict)
    _lay: Callable[[], Filling] = tuple

    @property
    def filling(self) -> Filling:
        """The pieces of the shortest strip, laid when they are asked for."""
        filling = self._lay()
        self._lay = lambda: filling
        return filling

    def keep(self, share: float, lay: Callable[[], Filling]) -> None:
        """Keep what lays pieces on a strip as the shortest that is known."""
        self.share, self._lay = share, lay

    def shares_of(self, ways: Sequence[RowWay], room: WorkArea, count: int) -> list[float]:
        """Return the share that each pattern takes before it is refined, measured once."""
        new = [way for way in dict.fromkeys(ways) if way not in self._shares]
        if new:
            self._shares.update(zip(new, shares_of(new, room, count), strict=True))
        return [self._shares[way] for way in ways]


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
) -> Iterator[None]:
    """Lay ``count`` pieces in rows on ever shorter strips of a rectangle.

    Each time that rows take a smaller share of the rectangle than the shortest strip in ``known``,
    that is updated, and the search pauses. ``from_left_only`` leaves out strips along the lower
    side.

    Raises:
        DoesNotFit: when not even one piece fits.
        SearchEnded: when the budget is spent.
    """
    ways, exact = _ways(item, room, gap, effort, budget)
    if from_left_only:
        ways = ways.from_left
    shares = known_shares(ways, room, count)
    shortest = _shortest(ways.ways, shares.tolist(), effort.refined, known)
    for way in shortest:
        budget.spend(_STEPS_PER_PATTERN[exact])
        yield from _refined(way, way.stack.refined, item, room, count, known)
    uprights = (True,) if from_left_only else (False, True)
    yield from _in_loose_rows(item, room, count, gap, effort, budget, known, uprights)
    if effort.blocks and count <= MAX_IN_BLOCKS:
        pairs = row_blocks(item, room, count, gap=gap, effort=effort, budget=budget)
        firsts = first_strips(pairs, count, known.share, left_only=from_left_only)
        for blocks, first in zip(pairs, firsts, strict=True):
            on = partial(blocks_on_strips, first=first, left_only=from_left_only, budget=budget)
            for share, filling in on(blocks, count, known.share):
                known.keep(share, partial(tuple, filling))
                yield
    for way in shortest:
        yield from _refined(way, way.stack.straight, item, room, count, known)
    sides = (True,) if from_left_only else (False, True)
    for shortest_plain in (
        partial(shortest_boxes, item, room, count, gap, sides),
        partial(shortest_steps, item, room, count, gap, effort, budget.found, uprights),
    ):
        share, plain = shortest_plain(below=known.share - _SAME)
        if plain:
            known.keep(share, partial(tuple, plain))
            yield


def shortest_patterns(
    item: Item, room: WorkArea, count: int, most: int, *, gap: float, effort: Effort, budget: Budget
) -> list[tuple[Stack, bool]]:
    """Return the refined patterns of the shortest strips of so many pieces, ``most`` a side.

    With each, whether it stands upright. The densest patterns are not among them where a single
    row of another is lower.

    Raises:
        SearchEnded: when the budget is spent.
    """
    ways, _ = _ways(item, room, gap, effort, budget)
    found: dict[tuple[int, bool], tuple[Stack, bool]] = {}
    for here in (ways.from_left, ways.from_below):
        shares = shares_of(here.ways, room, count)
        for way in _shortest(here.ways, shares, most, KnownStrip()):
            for fine in (way.stack.refined, way.stack.straight):
                if fine is not None:
                    found.setdefault((id(fine), way.upright), (fine, way.upright))
    return list(found.values())


def _refined(
    way: RowWay, fine: Stack | None, item: Item, room: WorkArea, count: int, known: KnownStrip
) -> Iterator[None]:
    """Keep the strip of a refined pattern, and pause, if it is shorter than the shortest known."""
    if fine is None:
        return
    laid = _laid(fine.figures, room, count, upright=way.upright, along=way.along)
    if laid is not None and laid[0] < known.share - _SAME:
        share, strip = laid
        known.keep(share, partial(_placed, strip, item, room, upright=way.upright))
        yield


def _placed(strip: Strip, item: Item, room: WorkArea, *, upright: bool) -> Filling:
    """Return the pieces of a strip, row by row."""
    moves = sorted(strip.moves(), key=lambda each: (round(each.y, 6), each.x))
    places = [moved_into(each, room, upright=upright) for each in moves]
    return tuple([Placement(item.piece, each) for each in places])


def _in_loose_rows(
    item: Item,
    room: WorkArea,
    count: int,
    gap: float,
    effort: Effort,
    budget: Budget,
    known: KnownStrip,
    stand: tuple[bool, ...],
) -> Iterator[None]:
    """Keep ever shorter strips of rows that use the width across the strip to its end.

    ``stand`` are the frames that rows may be laid in: lying, or standing up.
    """
    if not effort.loose:
        return
    wide = replace(effort, turns=max(effort.turns, _LOOSE_TURNS))
    shape, turns = turns_of(item, fitting_turn(item, room), gap, wide)
    half_turns = turns_too(item, 180.0)
    limit = _NEARLY * known.share
    ordered = ordered_rows(item, room, count, shape, turns, limit, stand, half_turns=half_turns)
    most = effort.loose if shape.exact else math.ceil(_FEWER * effort.loose)
    likely = [each for each in lowest(ordered, most) if each[0][0] < limit]
    loose_ways = [
        ways_of(rows.patterns(shape, half_turns=half_turns), upright=upright, along=False)
        for (_, _, upright), rows in likely
    ]
    known.shares_of(list(chain.from_iterable(loose_ways)), room, count)
    for ((share, _, _), _), ways in zip(likely, loose_ways, strict=True):
        if share >= _NEARLY * known.share:
            continue
        budget.spend(_STEPS_PER_PATTERN[shape.exact])
        shares = known.shares_of(ways, room, count)
        for way in _shortest(ways, shares, _LOOSE_REFINED[shape.exact], known):
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
        known.keep(share, partial(_placements, placed))
        yield


def _placements(placed: Sequence[Placed]) -> Filling:
    return tuple([each.placement for each in placed])


def _ways(
    item: Item, room: WorkArea, gap: float, effort: Effort, budget: Budget
) -> tuple[RowWays, bool]:
    """Return every pattern and direction, and whether the outline is straight."""
    shape, turns = turns_of(item, fitting_turn(item, room), gap, effort)
    for _ in turns:
        budget.spend(STEPS_PER_TURN[shape.exact])
    return row_ways(shape, item, turns, room, spread=effort.spread), shape.exact


def _shortest(
    ways: Sequence[RowWay], shares: Sequence[float], most: int, known: KnownStrip
) -> list[RowWay]:
    """Return the ways with the shortest strips before they are refined, the shortest first.

    Left out are ways that stay above the known share even if they are refined.
    """
    limit = min(1.0, _REFINED * known.share) + _SAME
    found = [(round(share, 9), at) for at, share in enumerate(shares) if share < limit]
    return [ways[at] for _, at in sorted(found)[:most]]


def _laid(
    figures: Figures, room: WorkArea, count: int, *, upright: bool, along: bool
) -> tuple[float, Strip] | None:
    """Return the share of the sheet that a pattern takes, and its strip."""
    width, height = size_of(room, upright=upright)
    if along:
        found, whole = strip_along(figures, count, height), width
    else:
        found, whole = strip_across(figures, count, width, HIGHER * height), height
    return None if found is None else (found.length / whole, found)
