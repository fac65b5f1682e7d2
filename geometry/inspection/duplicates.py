"""Lines drawn twice: stretches that two paths have in common, which a machine would cut twice."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from geometry.inspection.work import StepBudget
from geometry.model.outline import Chain, Outline
from geometry.model.segments import Arc
from geometry.segment_pairs import Indices, Numbers, Segments

#: Lines and arcs within this distance of each other, mm, are one line: files have few digits.
SAME_LINE = 0.01
#: Minimum length of a common stretch, mm, and as a share of the shorter segment.
_MIN_STRETCH, _MIN_SHARE = 0.02, 0.5
#: Steps of a comparison of two arcs of one circle.
_ARCS = 600


def find_duplicates(
    paths: Sequence[Outline | Chain], work: StepBudget
) -> Iterator[tuple[int, int, float]]:
    """Yield pairs of paths, by their numbers, with the length of their common stretches, mm."""
    table = Segments([path.segments for path in paths])
    shared: dict[tuple[int, int], float] = {}
    for one, other in table.near_pairs(SAME_LINE, work.can_do):
        straight = ~table.is_arc[one] & ~table.is_arc[other]
        lengths = np.zeros(len(one))
        lengths[straight] = _along_lines(table, one[straight], other[straight])
        for index in np.flatnonzero(_on_one_circle(table, one, other)).tolist():
            if not work.can_do(_ARCS):
                break
            lengths[index] = _along_arcs(table, int(one[index]), int(other[index]))
        for index in np.flatnonzero(lengths).tolist():
            pair = int(table.owner[one[index]]), int(table.owner[other[index]])
            shared[pair] = shared.get(pair, 0.0) + float(lengths[index])
    for (first, second), length in sorted(shared.items()):
        yield first, second, length


def _along_lines(table: Segments, one: Indices, other: Indices) -> Numbers:
    """Return the lengths that pairs of lines have in common."""
    is_longer = table.length[one] >= table.length[other]
    long, short = np.where(is_longer, one, other), np.where(is_longer, other, one)
    unit = table.chord[long] / np.maximum(table.length[long], 1e-300)[:, None]
    along, aside = [], []
    for places in (table.start, table.end):
        away = places[short] - table.start[long]
        along.append((unit * away).sum(axis=1))
        aside.append(np.abs(unit[:, 0] * away[:, 1] - unit[:, 1] * away[:, 0]))
    low = np.maximum(np.minimum(*along), 0.0)
    common = np.minimum(np.maximum(*along), table.length[long]) - low
    is_same = np.maximum(*aside) <= SAME_LINE
    needed = np.minimum(_MIN_STRETCH, _MIN_SHARE * table.length[short])
    return np.where(is_same & (common > needed), common, 0.0)


def _on_one_circle(table: Segments, one: Indices, other: Indices) -> NDArray[np.bool_]:
    """Return which pairs are arcs of one circle.

    Points instead of centres are compared, because the centre of a flat arc is hardly determined.
    """
    is_longer = table.length[one] >= table.length[other]
    long, short = np.where(is_longer, one, other), np.where(is_longer, other, one)
    found = table.is_arc[one] & table.is_arc[other]
    for places in (table.start, table.middle, table.end):
        away = np.hypot(*(places[short] - table.centre[long]).T)
        found &= np.abs(away - table.radius[long]) <= SAME_LINE
    return np.asarray(found)


def _along_arcs(table: Segments, one: int, other: int) -> float:
    """Return the length that two arcs of one circle have in common."""
    first, second = table.parts[one], table.parts[other]
    if not (isinstance(first, Arc) and isinstance(second, Arc)):
        return 0.0
    long, short = (first, second) if first.length >= second.length else (second, first)
    low, high = _angles(long)
    begin, end = _angles(short, long.centre)
    common = 0.0
    for turn in (-math.tau, 0.0, math.tau):
        common += max(0.0, min(high, end + turn) - max(low, begin + turn))
    length = common * long.radius
    return length if length > min(_MIN_STRETCH, _MIN_SHARE * short.length) else 0.0


def _angles(arc: Arc, centre: tuple[float, float] | None = None) -> tuple[float, float]:
    """Return an arc's first and last angle about a centre, ascending, the first within a turn."""
    x, y = centre or arc.centre
    start = arc.start if arc.bulge > 0.0 else arc.end
    first = math.atan2(start.y - y, start.x - x) % math.tau
    return first, first + abs(arc.sweep)
