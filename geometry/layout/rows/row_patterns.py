"""The patterns in which rows of one kind may be stacked, at every turn worth trying."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from geometry.layout.effort import Effort
from geometry.layout.fitting.fit import candidate_turns
from geometry.layout.item import Item
from geometry.layout.rows.row_units import Unit, UnitShape, units_of
from geometry.layout.rows.stacks import Stack, stacks
from geometry.model.outline import Outline

#: Steps for the patterns of one turn, by whether the outline is straight. Own measurement.
STEPS_PER_TURN = {True: 6.0, False: 30.0}
#: Units of which rows are spread at each turn: the single piece and the densest pair.
_SPREAD_UNITS = 2
#: Rows spread by a smaller share than this are the same rows.
_SPREAD = 1.0 + 1e-6


def turns_of(
    item: Item, surely: float, gap: float, effort: Effort
) -> tuple[UnitShape, tuple[float, ...]]:
    """Return the shape that rows are made of and the turns to make them at."""
    return shape_of(item.outline, gap), distinct_turns(item, surely, effort)


def frames(item: Item, turn: float) -> tuple[tuple[float, tuple[bool, ...]], ...]:
    """Return the turns at which rows are made, each with the frames they may be laid in.

    An upright frame turns everything in it a quarter back, so that its rows stand up and follow
    each other from the left. Where any turn will do one set of rows serves both frames; else
    upright rows are made a quarter turn on.
    """
    if item.stated_turns_deg is None:
        return ((turn, (False, True)),)
    return ((turn, (False,)), (turn + 90.0, (True,)))


def distinct_turns(item: Item, surely: float, effort: Effort) -> tuple[float, ...]:
    """Return the turns to try; rows run both ways at each, so quarter turns add nothing."""
    return _distinct(item.outline, (surely, *candidate_turns(item)), effort.turns)


@lru_cache(maxsize=256)
def _distinct(outline: Outline, candidates: tuple[float, ...], most: int) -> tuple[float, ...]:
    turns: list[float] = []
    for turn in candidates:
        if len(turns) == most:
            break
        if not any(_alike(outline, turn, other) for other in turns):
            turns.append(turn)
    return tuple(turns)


def _alike(outline: Outline, turn: float, other: float) -> bool:
    """Return whether two turns of an outline look the same, but for half a turn."""
    return turn == other or _is_kept_by(outline, turn - other)


@lru_cache(maxsize=1024)
def _is_kept_by(outline: Outline, turn: float) -> bool:
    """Return whether an outline turned so far looks the same, but for half a turn."""
    scale = 1e-6 * max(1.0, outline.bounds.width)
    corners = _corners(outline)
    here = corners * cmath.rect(1.0, math.radians(turn))
    return any(
        bool((np.abs(here[:, None] - there).min(axis=1) < scale).all())
        for there in (corners, -corners)
    )


@lru_cache(maxsize=64)
def _corners(outline: Outline) -> NDArray[np.complex128]:
    """Return the vertices of an outline as x + y i."""
    return np.array([complex(vertex.x, vertex.y) for vertex in outline.vertices])


@lru_cache(maxsize=64)
def shape_of(outline: Outline, gap: float) -> UnitShape:
    """Return the shape that rows of an outline are made of, with what is known of it so far."""
    return UnitShape(outline, gap)


@dataclass(frozen=True)
class Patterns:
    """All ways to stack rows of an item at one turn."""

    stacks: tuple[Stack, ...]


def patterns_of(shape: UnitShape, item: Item, turn: float) -> Patterns:
    """Return ways to stack rows of an item at one turn."""
    return _patterns(shape, turn, turns_too(item, 180.0), turns_too(item, 90.0))


@lru_cache(maxsize=512)
def _patterns(
    shape: UnitShape,
    turn: float,
    half_turns: bool,  # noqa: FBT001 - two callers
    quarter_turns: bool,  # noqa: FBT001 - two callers
) -> Patterns:
    units = units_of(shape, turn, half_turns=half_turns, quarter_turns=quarter_turns)
    return Patterns(
        tuple(stack for unit in units for stack in stacks(shape, unit, half_turns=half_turns))
    )


def spread_patterns_of(shape: UnitShape, item: Item, turn: float, width: float) -> Patterns:
    """Return ways to stack rows that are spread so as to use a width to its end."""
    return _spread(shape, turn, turns_too(item, 180.0), turns_too(item, 90.0), width)


@lru_cache(maxsize=512)
def _spread(
    shape: UnitShape,
    turn: float,
    half_turns: bool,  # noqa: FBT001 - one caller
    quarter_turns: bool,  # noqa: FBT001 - one caller
    width: float,
) -> Patterns:
    units = units_of(shape, turn, half_turns=half_turns, quarter_turns=quarter_turns)
    return Patterns(
        tuple(
            stack
            for unit in islice(units, _SPREAD_UNITS)
            for spread in _spread_units(unit, width)
            for stack in stacks(shape, spread, half_turns=half_turns)
            # Spread so far that a row falls through the one below it.
            if all(math.isfinite(step.dy) for step in stack.steps)
        )
    )


def _spread_units(unit: Unit, width: float) -> Iterator[Unit]:
    """Yield a unit with its copies spread over a width, or over all but half a period of it.

    Pieces farther apart in a row let the next row lie lower between them: half a period along,
    in rows as long or one piece shorter.
    """
    left = min(each.x + each.outline.bounds.left for each in unit.members)
    right = max(each.x + each.outline.bounds.right for each in unit.members)
    spare = width - (right - left)
    for along in (0.0, 0.5):
        periods = math.floor(spare / unit.period - along) + along
        if periods > 0.0 and spare / periods > unit.period * _SPREAD:
            yield replace(unit, period=spare / periods, spread=True)


def turns_too(item: Item, by: float) -> bool:
    """Return whether every allowed turn is allowed so many degrees round too."""
    stated = item.stated_turns_deg
    return stated is None or all((turn + by) % 360.0 in stated for turn in stated)
