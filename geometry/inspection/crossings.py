"""Outlines that overlap, and places at which other lines cross or meet.

In arrays, because hundreds of outlines that all overlap have tens of thousands of crossings. A test
compares the result with :func:`geometry.intersect.meet`, which takes one pair at a time.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.inspection.work import StepBudget
from geometry.model.outline import Chain, Outline
from geometry.segment_pairs import Indices, Numbers, Segments
from geometry.tolerance import SAME_POINT

#: Places as near as this, mm, are one.
_PLACE = 0.5
#: Steps of the calculation of where two segments cross.
_CROSS = 60
_TURN = 2.0 * math.pi
_NONE: NDArray[np.complex128] = np.empty(0, dtype=complex)


@dataclass(frozen=True)
class Crossings:
    """Pairs of outlines that overlap, and the number of places at which lines meet.

    ``places`` counts where a line meets another between its ends; 0 without open paths.
    """

    overlaps: tuple[tuple[int, int], ...]
    places: int


def find_crossings(
    outlines: Sequence[Outline], open_paths: Sequence[Chain], work: StepBudget
) -> Crossings:
    """Return where outlines and open paths cross; touching outlines do not overlap."""
    paths: list[Outline | Chain] = [*outlines, *open_paths]
    table = Segments([path.segments for path in paths])
    # Pairs of owners, and places on a grid, as complex numbers: they are sorted fastest.
    overlaps, places = [_NONE], [_NONE]
    for one, other in table.near_pairs(SAME_POINT, work.can_do):
        if not work.can_do(_CROSS * len(one)):
            break
        owners = table.owner[one] + 1j * table.owner[other]
        is_outline = table.owner[other] < len(outlines)
        for first, second, points in meeting_shares(table, one, other):
            begins, ends = _is_between(first, table, one), _is_between(second, table, other)
            overlaps.append(np.unique(owners[begins & ends & is_outline]))
            if open_paths:
                met = np.isfinite(first) & np.isfinite(second) & (begins | ends)
                at = np.round(points[met] / _PLACE)
                places.append(np.unique(at[:, 0] + 1j * at[:, 1]))
    pairs = np.unique(np.concatenate(overlaps))
    rows = zip(pairs.real.astype(int).tolist(), pairs.imag.astype(int).tolist(), strict=True)
    return Crossings(tuple(rows), len(np.unique(np.concatenate(places))))


def _is_between(share: Numbers, table: Segments, index: Indices) -> NDArray[np.bool_]:
    """Return which shares lie between the ends of their segments; NaN is beyond them."""
    slack = SAME_POINT / np.maximum(table.lengths[index], 1e-300)
    with np.errstate(invalid="ignore"):
        return np.asarray((share > slack) & (share < 1.0 - slack))


def meeting_shares(
    table: Segments, one: Indices, other: Indices
) -> list[tuple[Numbers, Numbers, Numbers]]:
    """Return up to two points at which pairs of segments meet, with their shares along both.

    A share is NaN where a pair does not meet. Segments along one line or circle have none.
    """
    arcs = table.is_arc[one], table.is_arc[other]
    lines = ~arcs[0] & ~arcs[1]
    if lines.all():
        at = _line_line(table, one, other)
        return [(_shares(table, one, at), _shares(table, other, at), at)]
    points = np.full((2, len(one), 2), np.nan)
    points[0, lines] = _line_line(table, one[lines], other[lines])
    both = arcs[0] & arcs[1]
    points[:, both] = _arc_arc(table, one[both], other[both])
    mixed = arcs[0] ^ arcs[1]
    line, arc = np.where(arcs[0], other, one)[mixed], np.where(arcs[0], one, other)[mixed]
    points[:, mixed] = _line_arc(table, line, arc)
    return [(_shares(table, one, at), _shares(table, other, at), at) for at in points]


def _line_line(table: Segments, one: Indices, other: Indices) -> Numbers:
    a, b = table.chord[one], table.chord[other]
    w = table.start[other] - table.start[one]
    across = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    longer = np.maximum(table.length[one], table.length[other])
    across = np.where(np.abs(across) <= SAME_POINT * longer, np.nan, across)
    share = (w[:, 0] * b[:, 1] - w[:, 1] * b[:, 0]) / across
    return np.asarray(table.start[one] + share[:, None] * a)


def _line_arc(table: Segments, line: Indices, arc: Indices) -> Numbers:
    unit = table.chord[line] / np.maximum(table.length[line], 1e-300)[:, None]
    away = table.centre[arc] - table.start[line]
    foot = table.start[line] + (away * unit).sum(axis=1)[:, None] * unit
    radius = table.radius[arc]
    off = np.hypot(*(foot - table.centre[arc]).T)
    # A line that only touches a circle does not cross it.
    squared = np.where(off < radius - SAME_POINT, (radius - off) * (radius + off), np.nan)
    half = np.sqrt(squared)[:, None] * unit
    return np.stack([foot - half, foot + half])


def _arc_arc(table: Segments, one: Indices, other: Indices) -> Numbers:
    between = table.centre[other] - table.centre[one]
    apart = np.hypot(*between.T)
    first, second = table.radius[one], table.radius[other]
    crosses = (apart < first + second - SAME_POINT) & (apart > np.abs(first - second) + SAME_POINT)
    apart = np.where(crosses, apart, np.nan)
    unit = between / apart[:, None]
    along = (apart**2 + (first - second) * (first + second)) / (2.0 * apart)
    with np.errstate(invalid="ignore"):
        half = np.sqrt((first - along) * (first + along))[:, None]
    foot = table.centre[one] + along[:, None] * unit
    aside = np.stack([unit[:, 1], -unit[:, 0]], axis=1) * half
    return np.stack([foot + aside, foot - aside])


def _shares(table: Segments, index: Indices, points: Numbers) -> Numbers:
    """Return the shares of points along segments; NaN beyond their ends."""
    slack = SAME_POINT / np.maximum(table.lengths[index], 1e-300)
    away = points - table.start[index]
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (away * table.chord[index]).sum(axis=1) / table.length[index] ** 2
    arcs = np.flatnonzero(table.is_arc[index])
    if len(arcs):
        share[arcs] = _shares_of_arcs(table, index[arcs], points[arcs], slack[arcs])
    return np.where((share >= -slack) & (share <= 1.0 + slack), share, np.nan)


def _shares_of_arcs(table: Segments, arcs: Indices, points: Numbers, slack: Numbers) -> Numbers:
    """Return the shares of points on the circles of arcs, from 0 to that of a full turn."""
    centre = table.centre[arcs]
    begin = np.arctan2(*(table.start[arcs] - centre).T[::-1])
    turn = np.arctan2(*(points - centre).T[::-1]) - begin
    sweep = 4.0 * np.arctan(table.bulge[arcs])
    turn = np.where(sweep > 0.0, turn % _TURN, -((-turn) % _TURN))
    # A point just before the start counts as the start, not as nearly a full turn.
    turn = np.where(np.abs(turn) > _TURN - slack * np.abs(sweep), 0.0, turn)
    return np.asarray(turn / sweep)
