"""Rows some of which stand straight above the row below, and others half a period along.

Circles lie lower in rows half a period along, but every other of these rows may be a piece short.
Where the height allows it, some rows stand straight, as a person lays them: of 7, 7, 7, 6 and 7
circles the first three are straight. A row is never above a short row but half a period along.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from geometry.layout.effort import Effort
from geometry.layout.item import Filling, Item
from geometry.layout.recent import Recent
from geometry.layout.rows.row_blocks import MAX_IN_BLOCKS
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.rows.row_patterns import frames, shape_of
from geometry.layout.rows.step_patterns import (
    StepFigures,
    Steps,
    step_patterns,
    step_turns,
)
from geometry.layout.sides import size_of
from geometry.measure import area
from geometry.model.cutter import WorkArea


def fullest_steps(item: Item, room: WorkArea, gap: float, effort: Effort) -> Filling:
    """Return the fullest such rows in a rectangle; nothing where there are none."""
    ways = _ways(item, room, gap, effort).ways
    best = max(ways, key=lambda each: each.fullest, default=None)
    return () if best is None else best.filling(item, room, best.fullest)


def step_shares(
    item: Item, room: WorkArea, most: int, gap: float, effort: Effort, found: Recent
) -> Values:
    """Return the least share of a rectangle that such rows of 0, 1, 2 ... pieces take.

    Infinite where they do not hold so many. ``found`` is what the search worked out last.
    """
    least = np.full(most + 1, np.inf)
    least[0] = 0.0
    ways = _ways(item, room, gap, effort)
    if ways.ways and most:
        least[1:] = ways.shares(range(1, most + 1), found).min(axis=1)
    return least


def shortest_steps(
    item: Item,
    room: WorkArea,
    count: int,
    gap: float,
    effort: Effort,
    found: Recent,
    uprights: tuple[bool, ...] = (False, True),
    below: float = math.inf,
) -> tuple[float, Filling]:
    """Return such rows on the shortest strip, and its share; infinite and nothing if too many.

    ``uprights`` says whether strips may lie at the lower side (false) or at the left one (true).
    Rows that take a share of ``below`` or more are not laid. ``found`` is what the search worked
    out last.
    """
    ways = _ways(item, room, gap, effort)
    here = ways.of(uprights)
    if not len(here):
        return math.inf, ()
    (shares,) = ways.shares((count,), found)
    at = int(here[shares[here].argmin()])
    share = float(shares[at])
    return share, ways.ways[at].filling(item, room, count) if share < below else ()


def stepped_rows(
    item: Item, room: WorkArea, count: int, gap: float, effort: Effort, found: Recent
) -> Filling:
    """Return so many pieces in such rows on the shortest strip; nothing if too many."""
    return shortest_steps(item, room, count, gap, effort, found)[1]


@dataclass(frozen=True, eq=False)
class _Ways:
    """Such rows of every number of pieces in a row; none have no figures.

    Compared by identity, so that what is worked out of them can be kept.
    """

    ways: tuple[Steps, ...]
    figures: StepFigures | None = None

    def of(self, uprights: tuple[bool, ...]) -> NDArray[np.int64]:
        """Return the numbers of those in some frames."""
        if len(uprights) > 1:
            return np.arange(len(self.ways))
        return np.flatnonzero([way.upright in uprights for way in self.ways])

    def shares(self, counts: Sequence[int], found: Recent) -> Values:
        """Return the share of its frame that each way takes; infinite where it is more.

        A search asks for some numbers of pieces again and again.

        Shape:
            count, way.
        """
        known: dict[int, Values] = found.known_or_made(("shares of steps", self), dict)
        new = [count for count in counts if count not in known]
        if new and self.figures is not None:
            heights, whole = self.figures.least_heights(np.array(new)), self.figures.height
            shares = np.where(heights <= whole + SLACK, heights / whole, np.inf)
            known.update(zip(new, shares.T, strict=True))
        return np.array([known[count] for count in counts])


@lru_cache(maxsize=64)
def _ways(item: Item, room: WorkArea, gap: float, effort: Effort) -> _Ways:
    """Return such rows of every number of pieces in a row, at every turn worth trying."""
    if item.fills_its_box or room.bounds.width * room.bounds.height > MAX_IN_BLOCKS * area(
        item.outline
    ):
        return _Ways(())
    shape = shape_of(item.outline, gap)
    found: list[Steps] = []
    for turn in step_turns(item, effort):
        for local, uprights in frames(item, turn):
            for upright in uprights:
                width, height = size_of(room, upright=upright)
                found.extend(
                    replace(each, height=height, upright=upright)
                    for each in step_patterns(shape, local, width, loose=bool(effort.loose))
                )
    return _Ways(tuple(found), StepFigures.of(found) if found else None)
