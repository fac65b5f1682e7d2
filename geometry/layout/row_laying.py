"""Rows of a stack laid in a rectangle: which of them fit, and the places of their pieces."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from geometry.layout.row_units import Unit
from geometry.layout.rows import Stack
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


def lay(stack: Stack, width: float, height: float) -> list[Row]:
    """Return the rows of a stack that fit into a width and height, lower left corner 0, 0.

    The row that comes first and the phase along x are chosen so that most pieces fit.
    """
    best: list[Row] = []
    most = 0
    for start in range(len(stack.steps)):
        order = _levels(stack, start, height)
        if not order:
            continue
        # Rows that stand alike are reckoned once.
        known: dict[tuple[int, float], _Starts] = {}
        for phase in _phases(order[: len(stack.steps) + 1], width):
            starts = []
            for unit, dx, _ in order:
                key = (id(unit), phase + dx)
                if key not in known:
                    known[key] = _starts(unit, phase + dx, width)
                starts.append(known[key])
            count = sum(copies for row in starts for _, _, copies in row)
            if count > most:
                most = count
                best = [Row(unit, y, row) for (unit, _, y), row in zip(order, starts, strict=True)]
    return best


def _levels(stack: Stack, start: int, height: float) -> list[tuple[Unit, float, float]]:
    """Return unit, offset and height of each row, the ``start``-th kind of row first."""
    units = [stack.first, *(step.unit for step in stack.steps)]
    unit, x = units[start], 0.0
    y = -unit.bottom
    levels: list[tuple[Unit, float, float]] = []
    at = start
    while y + unit.top <= height + SLACK:
        levels.append((unit, x, y))
        step = stack.steps[at % len(stack.steps)]
        if step.dy <= LAYOUT_ACCURACY:
            break
        unit, x, y = step.unit, x + step.dx, y + step.dy
        at += 1
        # Another kind of row may hang lower than the first.
        if y + unit.bottom < -SLACK:
            return []
    return levels


def _phases(order: list[tuple[Unit, float, float]], width: float) -> list[float]:
    """Return the phases that bring some piece of some row flush with a side."""
    found: set[float] = set()
    for unit, dx, _ in order:
        for each in unit.members:
            box = each.outline.bounds
            found.add(round((-box.left - each.x - dx) % unit.period, 9))
            found.add(round((width - box.right - each.x - dx) % unit.period, 9))
    return sorted(found)


def _starts(unit: Unit, x: float, width: float) -> _Starts:
    """Return where each member of a row begins and how many copies of it the width holds."""
    starts = []
    for index, each in enumerate(unit.members):
        box = each.outline.bounds
        first = math.ceil((-box.left - each.x - x - SLACK) / unit.period)
        last = math.floor((width - box.right - each.x - x + SLACK) / unit.period)
        if last >= first:
            starts.append((index, x + each.x + first * unit.period, last - first + 1))
    return tuple(starts)


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
    box = room.bounds
    for row in rows:
        found: list[tuple[float, float, float]] = []
        for index, start, copies in row.starts:
            each = row.unit.members[index]
            found.extend(
                (start + copy * row.unit.period, row.y + each.y, each.turn_deg)
                for copy in range(copies)
            )
        for x, y, turn in sorted(found):
            if upright:
                yield Placement(piece, Rigid((turn - 90.0) % 360.0, box.left + y, box.top - x))
            else:
                yield Placement(piece, Rigid(turn, box.left + x, box.bottom + y))
