"""Rows some of which stand straight above the row below, and others half a period along.

Circles lie lower in rows half a period along, but every other of these rows may be a piece short.
Where the height allows it, some rows stand straight, as a person lays them: of 7, 7, 7, 6 and 7
circles the first three are straight. A row is never above a short row but half a period along.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from geometry.layout.effort import Effort
from geometry.layout.item import Filling, Item
from geometry.layout.rows.row_blocks import MAX_IN_BLOCKS
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_laying import SLACK
from geometry.layout.rows.row_patterns import frames, shape_of
from geometry.layout.rows.step_patterns import (
    Steps,
    figures_of,
    heights_of,
    step_patterns,
    step_turns,
)
from geometry.layout.sides import size_of
from geometry.measure import area
from geometry.model.cutter import WorkArea


def fullest_steps(item: Item, room: WorkArea, gap: float, effort: Effort) -> Filling:
    """Return the fullest such rows in a rectangle; nothing where there are none."""
    ways, _ = _ways(item, room, gap, effort)
    best = max(ways, key=lambda each: each.fullest, default=None)
    return () if best is None else best.filling(item, room, best.fullest)


def step_shares(item: Item, room: WorkArea, most: int, gap: float, effort: Effort) -> Values:
    """Return the least share of a rectangle that such rows of 0, 1, 2 ... pieces take.

    Infinite where they do not hold so many.
    """
    least = np.full(most + 1, np.inf)
    least[0] = 0.0
    ways, figures = _ways(item, room, gap, effort)
    if ways:
        least[1:] = _shares(figures, np.arange(1, most + 1)).min(axis=0)
    return least


def _shares(figures: Values, counts: NDArray[np.int64]) -> Values:
    """Return the share of its frame that each way takes; infinite where it is more."""
    heights, whole = heights_of(figures, counts).min(axis=2), figures[4]
    return np.where(heights <= whole + SLACK, heights / whole, np.inf)


def shortest_steps(
    item: Item,
    room: WorkArea,
    count: int,
    gap: float,
    effort: Effort,
    uprights: tuple[bool, ...] = (False, True),
    below: float = math.inf,
) -> tuple[float, Filling]:
    """Return such rows on the shortest strip, and its share; infinite and nothing if too many.

    ``uprights`` says whether strips may lie at the lower side (false) or at the left one (true).
    Rows that take a share of ``below`` or more are not laid.
    """
    ways, figures = _ways(item, room, gap, effort)
    here = [at for at, way in enumerate(ways) if way.upright in uprights]
    if not here:
        return math.inf, ()
    shares = _shares(figures[:, here], np.array([count]))[:, 0]
    at = int(shares.argmin())
    share = float(shares[at])
    return share, ways[here[at]].filling(item, room, count) if share < below else ()


def stepped_rows(item: Item, room: WorkArea, count: int, gap: float, effort: Effort) -> Filling:
    """Return so many pieces in such rows on the shortest strip; nothing if too many."""
    return shortest_steps(item, room, count, gap, effort)[1]


@lru_cache(maxsize=64)
def _ways(
    item: Item, room: WorkArea, gap: float, effort: Effort
) -> tuple[tuple[Steps, ...], Values]:
    """Return such rows of every number of pieces in a row, at every turn worth trying.

    With them their figures (``figures_of``).
    """
    if item.fills_its_box or room.bounds.width * room.bounds.height > MAX_IN_BLOCKS * area(
        item.outline
    ):
        return (), figures_of(())
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
    return tuple(found), figures_of(found)
