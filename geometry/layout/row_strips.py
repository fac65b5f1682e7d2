"""The shortest strip of a sheet that holds so many pieces of one kind in rows.

Rows run along the strip or across it. Of every pattern of rows the pieces that end first along
the strip are taken, so that the strip ends with the last of them; every phase at which a piece
lies flush with a side is tried, and both kinds of row come first in turn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.layout.row_units import Unit
from geometry.layout.rows import Stack
from geometry.tolerance import LAYOUT_ACCURACY

_SLACK = LAYOUT_ACCURACY / 4.0
#: Rows beyond the ones that the average asks for.
_MORE_ROWS = 3
#: Phases tried of one pattern.
_MAX_PHASES = 24

Values = NDArray[np.float64]


@dataclass(frozen=True)
class Spot:
    """One piece of rows: its turn and where its own origin lies."""

    turn_deg: float
    x: float
    y: float


@dataclass(frozen=True)
class _Series:
    """All pieces of a pattern, one entry per member of a row.

    ``x`` and ``y`` are of each row's member at its first copy before any phase; the boxes are of
    the member's outline.
    """

    turns: Values
    x: Values
    y: Values
    left: Values
    right: Values
    top: Values
    period: float


def strip_along(stack: Stack, count: int, height: float) -> tuple[float, list[Spot]] | None:
    """Return the least length of rows that run along a strip of a height, and their pieces."""
    best: tuple[float, list[Spot]] | None = None
    for start in range(len(stack.steps)):
        series = _series(stack, start, height, None)
        if series is None:
            continue
        phases = _phases(stack, series.x, series.left, series.period)
        # Of each phase the ends of every copy that may be among the first ones.
        first = np.ceil((-series.left - series.x - phases[:, None] - _SLACK) / series.period)
        copies = math.ceil(count / len(series.x)) + 2
        at = series.x + phases[:, None] + first * series.period
        ends = (at + series.right)[:, :, None] + series.period * np.arange(copies)
        flat = ends.reshape(len(phases), -1)
        if flat.shape[1] < count:
            continue
        lengths = np.partition(flat, count - 1, axis=1)[:, count - 1]
        index = int(np.argmin(np.round(lengths, 7)))
        length = float(lengths[index])
        if best is None or length < best[0] - _SLACK:
            x = at[index][:, None] + series.period * np.arange(copies)
            y = np.broadcast_to(series.y[:, None], x.shape)
            turns = np.broadcast_to(series.turns[:, None], x.shape)
            best = length, _first_spots(flat[index], y.ravel(), x.ravel(), turns.ravel(), count)
    return best


def strip_across(
    stack: Stack, count: int, width: float, max_height: float
) -> tuple[float, list[Spot]] | None:
    """Return the least height of rows that run across a strip of a width, and their pieces."""
    best: tuple[float, list[Spot]] | None = None
    for start in range(len(stack.steps)):
        series = _series(stack, start, max_height, _rows_needed(stack, count, width))
        if series is None:
            continue
        phases = _phases(stack, series.x, series.left, series.period, series.right, width)
        x = series.x + phases[:, None]
        first = np.ceil((-series.left - x - _SLACK) / series.period)
        last = np.floor((width - series.right - x + _SLACK) / series.period)
        held = np.maximum(last - first + 1.0, 0.0)
        tops = series.y + series.top
        order = np.argsort(np.round(tops, 7), kind="stable")
        sums = np.cumsum(held[:, order], axis=1)
        enough = sums >= count
        found = np.where(enough.any(axis=1), enough.argmax(axis=1), len(order))
        if found.min() == len(order):
            continue
        heights = np.where(
            found < len(order), tops[order][np.minimum(found, len(order) - 1)], np.inf
        )
        # Of phases that end alike the one that holds most leaves the last row the most choice.
        index = int(np.lexsort((-sums[:, -1], np.round(heights, 7)))[0])
        height = float(heights[index])
        if best is None or height < best[0] - _SLACK:
            spots = list(_spots(series, x[index], first[index], held[index]))
            ends = np.array([spot.y + series.top[at] for at, spot in spots])
            xs, ys = (np.array([getattr(spot, key) for _, spot in spots]) for key in "xy")
            turns = np.array([spot.turn_deg for _, spot in spots])
            best = height, _first_spots(ends, xs, xs, turns, count, ys)
    return best


def _spots(series: _Series, x: Values, first: Values, held: Values) -> Iterator[tuple[int, Spot]]:
    for at in range(len(x)):
        for copy in range(int(held[at])):
            place = float(x[at] + (first[at] + copy) * series.period)
            yield at, Spot(float(series.turns[at]), place, float(series.y[at]))


def _first_spots(
    ends: Values, across: Values, x: Values, turns: Values, count: int, y: Values | None = None
) -> list[Spot]:
    """Return the pieces that end first; of those that end alike, the ones nearest the side."""
    order = np.lexsort((np.round(across, 6), np.round(ends, 6)))[:count]
    rows = across if y is None else y
    return [Spot(float(turns[at]), float(x[at]), float(rows[at])) for at in order]


def _rows_needed(stack: Stack, count: int, width: float) -> int:
    per_row = max(1.0, len(stack.first.members) * (width / stack.first.period - 1.0))
    return math.ceil(count / per_row) + _MORE_ROWS


def _series(stack: Stack, start: int, height: float, rows: int | None) -> _Series | None:
    """Return a pattern's rows, from a kind of row on, as many as fit or are asked for."""
    units: list[Unit] = [stack.first, *(step.unit for step in stack.steps)]
    unit, x, y, at = units[start], 0.0, -units[start].bottom, start
    found: list[tuple[float, ...]] = []
    number = 0
    while y + unit.bottom >= -_SLACK and (rows is None or number < rows):
        if y + unit.top > height + _SLACK:
            break
        for each in unit.members:
            box = each.outline.bounds
            found.append((each.turn_deg, x + each.x, y + each.y, box.left, box.right, box.top))
        step = stack.steps[at % len(stack.steps)]
        if step.dy <= LAYOUT_ACCURACY:
            break
        unit, x, y = step.unit, x + step.dx, y + step.dy
        at, number = at + 1, number + 1
    if not found or (found and y + unit.bottom < -_SLACK):
        return None
    turns, xs, ys, left, right, top = (np.array(each) for each in zip(*found, strict=True))
    return _Series(turns, xs, ys, left, right, top, stack.first.period)


def _phases(
    stack: Stack,
    x: Values,
    left: Values,
    period: float,
    right: Values | None = None,
    width: float = 0.0,
) -> Values:
    """Return the phases that bring a piece of some row flush with a side."""
    members = len(stack.first.members) * (len(stack.steps) + 1)
    found = (-left - x)[:members] % period
    if right is not None:
        found = np.concatenate([found, (width - right - x)[:members] % period])
    return np.unique(np.round(found, 9))[:_MAX_PHASES]
