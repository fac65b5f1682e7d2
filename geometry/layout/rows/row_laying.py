"""Rows of a stack laid in a rectangle: which of them fit, and the places of their pieces."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from geometry.layout.rows.row_figures import Figures, Members, Values
from geometry.layout.rows.row_units import Unit
from geometry.layout.rows.stacks import Stack
from geometry.layout.sides import moved_into
from geometry.model.cutter import WorkArea
from geometry.model.placement import Placement
from geometry.model.transform import Rigid
from geometry.tolerance import LAYOUT_ACCURACY

#: A row's pieces may stand over the edge by rounding, mm.
SLACK = LAYOUT_ACCURACY / 4.0

#: Members of a row, the x of the first copy of each, and how many copies there are.
_Starts: TypeAlias = tuple[tuple[int, float, int], ...]


@dataclass(frozen=True)
class Row:
    """One row as laid: its unit, the places of its first copy and how many copies each has."""

    unit: Unit
    y: float
    starts: _Starts


def series_of(figures: Figures, start: int, height: float, rows: int | None) -> Members | None:
    """Return a pattern's rows, from a kind of row on, as many as fit or are asked for.

    Shape:
        Row by row, one entry per member of a row: its first copy before any phase.
    """
    other = 1 - start
    base, rise, run = -figures.bottoms[start], figures.dy[start], figures.dx[start]
    cycle = rise + figures.dy[other]
    spare = height + SLACK - base - figures.tops[start]
    if spare < 0.0:
        return None
    above = height + SLACK - base - figures.tops[other] - rise
    if rise <= LAYOUT_ACCURACY:
        count = 1
    elif base + rise + figures.bottoms[other] < -SLACK:
        # The other kind of row hangs lower than the first.
        return None
    elif above < 0.0:
        count = 1
    elif figures.dy[other] <= LAYOUT_ACCURACY:
        count = 2
    else:
        count = min(2 * math.floor(spare / cycle) + 2, 2 * math.floor(above / cycle) + 3)
    number = np.arange(count if rows is None else min(count, rows))
    kind, turn, odd = (start + number) % 2, number // 2, number % 2
    x = turn * (run + figures.dx[other]) + odd * run
    y = base + turn * cycle + odd * rise
    return Members(
        figures.turns[kind].ravel(),
        (x[:, None] + figures.x[kind]).ravel(),
        (y[:, None] + figures.y[kind]).ravel(),
        figures.left[kind].ravel(),
        figures.right[kind].ravel(),
        figures.top[kind].ravel(),
    )


def phases_of(figures: Figures, series: Members, width: float | None = None) -> Values:
    """Return the phases that bring a piece of one of the first rows flush with a side.

    Without a width that is the left one alone.
    """
    members, period = 3 * figures.members, figures.period
    found = (-series.left - series.x)[:members] % period
    if width is not None:
        right = (width - series.right - series.x)[:members] % period
        found = np.concatenate([found, right])
    return np.array(sorted(set(np.round(found, 9).tolist())))


def held_of(
    figures: Figures, series: Members, phases: Values, width: float
) -> tuple[Values, Values, Values]:
    """Return the x of each member, its first copy within a width and how many there are.

    Shape:
        A line for each phase, a column for each member of each row.
    """
    x = series.x + phases[:, None]
    first = np.ceil((-series.left - x - SLACK) / figures.period)
    last = np.floor((width - series.right - x + SLACK) / figures.period)
    return x, first, np.maximum(last - first + 1.0, 0.0)


def lay(stack: Stack, width: float, height: float) -> list[Row]:
    """Return the rows of a stack that fit into a width and height, lower left corner 0, 0.

    The row that comes first and the phase along x are chosen so that most pieces fit.
    """
    figures = stack.figures
    best = _fullest(figures, width, height)
    if best is None:
        return []
    _, start, series, phase = best
    x, first, held = (
        each.reshape(-1, figures.members)
        for each in held_of(figures, series, np.array([phase]), width)
    )
    y = series.y.reshape(-1, figures.members)[:, 0]
    begin = x + first * figures.period
    rows = []
    for number in range(len(y)):
        kind = (start + number) % 2
        starts = tuple(
            (index, float(begin[number, index]), int(held[number, index]))
            for index in range(figures.members)
            if held[number, index]
        )
        unit = stack.other if kind else stack.first
        rows.append(Row(unit, float(y[number] - figures.y[kind, 0]), starts))
    return rows


def most_held(stack: Stack, width: float, height: float) -> int:
    """Return how many pieces ``lay`` lays in a width and height."""
    best = _fullest(stack.figures, width, height)
    return 0 if best is None else best[0]


def _fullest(
    figures: Figures, width: float, height: float
) -> tuple[int, int, Members, float] | None:
    """Return most pieces, the kind of row that comes first for them, its rows and their phase."""
    best: tuple[int, int, Members, float] | None = None
    for start in (0, 1):
        series = series_of(figures, start, height, None)
        if series is None:
            continue
        phases = phases_of(figures, series, width)
        counts = held_of(figures, series, phases, width)[2].sum(axis=1)
        index = int(counts.argmax())
        count = int(counts[index])
        if count > (0 if best is None else best[0]):
            best = count, start, series, float(phases[index])
    return best


def count_of(rows: list[Row]) -> int:
    """Return how many pieces rows hold."""
    return sum(copies for row in rows for _, _, copies in row.starts)


def placements_of(
    piece: str,
    rows: list[Row],
    upright: bool,  # noqa: FBT001 - as found
    room: WorkArea,
) -> Iterator[Placement]:
    """Yield the places of rows laid in a frame, turned upright where the frame was."""
    for row in rows:
        found: list[tuple[float, float, float]] = []
        for index, start, copies in row.starts:
            each = row.unit.members[index]
            found.extend(
                (start + copy * row.unit.period, row.y + each.y, each.turn_deg)
                for copy in range(copies)
            )
        for x, y, turn in sorted(found):
            yield Placement(piece, moved_into(Rigid(turn, x, y), room, upright=upright))
