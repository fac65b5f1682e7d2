"""Rows that nearly end on a shorter strip, squeezed onto it until no pieces overlap.

No strip of straight rows can be shorter than the rows allow. If a few pieces may leave their rows,
all of them sometimes fit on a slightly shorter strip. Many rows are tried, each only briefly.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry.layout.effort import Budget, Effort
from geometry.layout.fitting.bottom_left import Placed
from geometry.layout.fitting.holding_polygons import Coordinates, holding_polygon, is_held_convex
from geometry.layout.fitting.overlap_removal import BRIEF, Overlapping, Parting, parted, placed_at
from geometry.layout.fitting.soundness import is_sound
from geometry.layout.item import Item
from geometry.layout.rows.loose_rows import LooseRows
from geometry.layout.rows.many_rows import ManyRows
from geometry.layout.rows.measured_rows import lowest_across, of_each
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_strips import Strip, strip_across
from geometry.layout.rows.row_units import UnitShape
from geometry.layout.rows.stacks import Stack
from geometry.layout.sides import size_of, sizes_of
from geometry.model.cutter import WorkArea

#: Strips of up to so many times the shortest length are squeezed.
_LONGER = 1.12
#: First, a strip is squeezed to this share of the shortest length; then by these factors again.
_SHORTER, _SHORTER_STILL = 0.997, (0.99, 0.997)
#: For outlines with arcs: minimum number of starts, and of pieces up to which they are squeezed.
#: The best start is often not among the shortest, because round pieces slip past each other.
_ROUND_STARTS, _MAX_ROUND = 40, 24
#: Maximum lines of the polygon around an outline with arcs, unless the effort allows more time.
_MAX_LINES = 80
#: Rows may stand a little higher than the sheet before they are squeezed.
_HIGHER = 1.1
#: Pieces of all starts that are squeezed at once: all that `normal` squeezes. More take hardly less
#: time for each start, and where one succeeds those after it are squeezed again.
_PIECES_AT_ONCE = 300

#: The share of a start, the share to beat, the frame and the period of the rows.
_Key: TypeAlias = tuple[float, float, bool, float]


@dataclass
class Squeezed:
    """The squeezes of one kind and number of pieces that need not be tried again.

    Attributes:
        failed: what was tried.
    """

    failed: set[_Key] = field(default_factory=set)


@dataclass(frozen=True)
class _Start:
    """Rows across a strip: the share that they take, their period, their strip, their frame."""

    share: float
    period: float
    strip: Strip
    upright: bool

    def key(self, share: float) -> _Key:
        """Return what tells its squeeze below a share from others."""
        own, period = self._rounded
        return own, round(share, 9), self.upright, period

    @cached_property
    def _rounded(self) -> tuple[float, float]:
        return round(self.share, 6), round(self.period, 6)

    def squeezed(self, room: WorkArea, share: float) -> Overlapping:
        """Return its pieces squeezed to a share of the rectangle."""
        turns, x, y = self.strip.places()
        width, height = size_of(room, upright=self.upright)
        places = np.stack([x, y * (share / self.share)], axis=1)
        return Overlapping(turns.tolist(), places, (width, share * height))


def squeezed_strips(  # noqa: PLR0913 - each is one thing that the search needs
    item: Item,
    room: WorkArea,
    count: int,
    rows: Sequence[tuple[LooseRows, bool]],
    share: float,
    *,
    shape: UnitShape,
    half_turns: bool,
    effort: Effort,
    budget: Budget,
    squeezed: Squeezed,
) -> Iterator[tuple[float, list[Placed]]]:
    """Yield layouts of ``count`` pieces on ever shorter strips, with their shares of the rectangle.

    Args:
        item: what is laid.
        room: a rectangle.
        count: how many.
        rows: rows that use the full width of a strip, and whether each is upright.
        share: of the rectangle, for the shortest strip that is known.
        shape: of the rows.
        half_turns: whether every other row may be turned by half a turn.
        effort: how many starts are squeezed, and how many pieces at most.
        budget: pays for every move.
        squeezed: what was tried already; it is added to.

    Raises:
        SearchEnded: when the budget is spent.
    """
    most, max_pieces = effort.squeezed_strips, effort.max_squeezed_on_strip
    if not shape.exact:
        most, max_pieces = max(most, _ROUND_STARTS), max(max_pieces, _MAX_ROUND)
        # Polygons about many arcs have many lines, so that each move takes long.
        if len(holding_polygon(item.outline)) > _MAX_LINES and not effort.both_directions:
            return
    if count > max_pieces or not is_held_convex(item.outline):
        return
    starts = _starts(rows[:most], room, count, share, shape, half_turns=half_turns, most=most)
    at_once = max(1, _PIECES_AT_ONCE // count)
    yield from _each_squeezed(item, room, starts, at_once, share, shape.gap, budget, squeezed)


def _each_squeezed(
    item: Item,
    room: WorkArea,
    starts: Sequence[_Start],
    at_once: int,
    share: float,
    gap: float,
    budget: Budget,
    squeezed: Squeezed,
) -> Iterator[tuple[float, list[Placed]]]:
    """Yield layouts on ever shorter strips; so many starts are squeezed at once."""
    at = 0
    while at < len(starts):
        part, before = starts[at : at + at_once], share
        firsts = _first_squeezes(item, room, part, share, gap, squeezed)
        for start in part:
            at += 1
            key = start.key(share)
            if key in squeezed.failed:
                continue
            squeezed.failed.add(key)
            for less, placed in _squeezed(item, room, start, firsts[key], gap, budget):
                share = less
                yield share, placed
            if share < before:
                # The others were squeezed to a share that is no longer the one to beat.
                break


def _starts(
    rows: Sequence[tuple[LooseRows, bool]],
    room: WorkArea,
    count: int,
    share: float,
    shape: UnitShape,
    *,
    half_turns: bool,
    most: int,
) -> list[_Start]:
    """Return the shortest strips of rows, up to ``_LONGER`` times the shortest that is known.

    Of equal strips, the one whose rows were found first is taken.
    """
    ways: list[tuple[float, Stack, bool]] = []
    for loose, upright in rows:
        _, height = size_of(room, upright=upright)
        if loose.height <= _LONGER * share * height:
            stacks = loose.patterns(shape, half_turns=half_turns).stacks
            ways += [(loose.unit.period, stack, upright) for stack in stacks]
    found: dict[tuple[float, bool, float], Stack] = {}
    for (period, stack, upright), taken in zip(ways, _shares(ways, room, count), strict=True):
        if taken <= _LONGER * share:
            key = (round(taken, 6), upright, round(period, 6))
            found.setdefault(key, stack)
    starts = []
    for key in sorted(found)[:most]:
        _, upright, period = key
        width, height = size_of(room, upright=upright)
        strip = strip_across(found[key].figures, count, width, _HIGHER * height)
        if strip is not None:
            starts.append(_Start(strip.length / height, period, strip, upright))
    return starts


def _shares(ways: Sequence[tuple[float, Stack, bool]], room: WorkArea, count: int) -> list[float]:
    """Return the share of the rectangle that rows across a strip take."""
    sizes = sizes_of(room, [upright for _, _, upright in ways])

    def measured(rows: ManyRows, these: NDArray[np.int64]) -> Values:
        width, height = sizes[these].T
        shares: Values = lowest_across(rows, count, width, _HIGHER * height) / height
        return shares

    return of_each([stack for _, stack, _ in ways], measured)


@dataclass(frozen=True)
class _First:
    """The first squeeze of a start: its share, its pieces before, and where they came to lie."""

    share: float
    before: Overlapping
    parting: Parting
    number: int

    def found(self, budget: Budget) -> Coordinates | None:
        """Return the places found, ``None`` where there are none; its moves are paid for.

        Raises:
            SearchEnded: when the budget is spent.
        """
        self.parting.pay(self.number, budget)
        return self.parting.found[self.number]


def _first_squeezes(
    item: Item,
    room: WorkArea,
    starts: Sequence[_Start],
    share: float,
    gap: float,
    squeezed: Squeezed,
) -> dict[_Key, _First]:
    """Return the first squeezes of all starts that were not tried, below the share to beat."""
    fresh: dict[_Key, _Start] = {}
    for start in starts:
        key = start.key(share)
        if key not in squeezed.failed:
            fresh.setdefault(key, start)
    if not fresh:
        return {}
    less = _SHORTER * share
    before = [start.squeezed(room, less) for start in fresh.values()]
    parting = Parting(item.outline, before, gap=gap, limits=BRIEF)
    for _ in parting.run():
        pass
    firsts = (_First(less, each, parting, number) for number, each in enumerate(before))
    return dict(zip(fresh, firsts, strict=True))


def _squeezed(
    item: Item, room: WorkArea, start: _Start, first: _First, gap: float, budget: Budget
) -> Iterator[tuple[float, list[Placed]]]:
    """Yield the pieces of a strip, squeezed onto ever less of the rectangle, with the share."""
    width, height = size_of(room, upright=start.upright)
    turns, less, found = first.before.turns, first.share, first.found(budget)
    if found is None:
        return
    further = iter(_SHORTER_STILL)
    by, kept = next(further), (found, less)
    while True:
        if found is not None:
            placed = placed_at(item, turns, found, room, upright=start.upright)
            if not is_sound(placed, room, gap):
                return
            yield less, placed
            kept = (found, less)
        else:
            by = next(further, 0.0)
            if not by:
                return
        places, now = kept
        less = by * now
        size = (width, less * height)
        found = parted(
            item.outline, turns, places * (1.0, less / now), size,
            gap=gap, budget=budget, limits=BRIEF,
        )  # fmt: skip
