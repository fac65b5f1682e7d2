"""Rows whose every other piece is turned by half a turn, as low as the width of a strip allows."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.row_units import Unit, UnitShape
from geometry.measure import area

#: Shares of a piece's height that every other one is raised by, and how often they become finer.
_SHARES, _TIMES_FINER = np.linspace(-1.0, 1.0, 129)[1:-1], 4
#: Rows stay so far within the width, mm.
_CLEAR = 1.0e-4
_HALF_TURN = 180.0


def turned_about(
    shape: UnitShape, single: Unit, width: float, count: int
) -> Iterator[tuple[float, Unit]]:
    """Yield rows with more pieces than straight ones hold, every other one turned by half a turn.

    Beside each other pieces lie the closer the more one of them is raised: of all heights at which
    so many are as long as the width, the lowest is taken for each number of rows. Each row comes
    with about the height of all rows, mm.

    Args:
        shape: of the pieces.
        single: a row of single pieces, as close as they go.
        width: of the strip across which the rows run, mm.
        count: how many pieces the rows shall hold together.
    """
    (member,) = single.members
    tall = member.outline.bounds.height
    held = math.floor((width - member.outline.bounds.width) / single.period) + 1
    seen: set[int] = set()
    for columns in range(max(held, 1) + 1, count + 1):
        rows = math.ceil(count / columns)
        raised = None if rows in seen else _raised_by(shape, single, width, columns)
        if raised is None:
            continue
        seen.add(rows)
        found = _about(shape, single, columns, np.array([raised]))
        reach, beside, period = (float(each[0]) for each in found)
        spread = period + (width - _CLEAR - reach) / max(1, (columns - 1) // 2)
        turned = shape.at(member.turn_deg + _HALF_TURN)
        y = member.outline.bounds.bottom - turned.outline.bounds.bottom + raised
        unit = Unit((member, replace(turned, x=beside, y=y)), spread, spread=True)
        up = 2.0 * area(shape.outline) / spread
        yield tall + abs(raised) + (rows - 1) * up, unit


def _raised_by(shape: UnitShape, single: Unit, width: float, columns: int) -> float | None:
    """Return the least by which every other piece is raised where so many go on a width."""
    raised, step = np.zeros(1), single.members[0].outline.bounds.height
    for _ in range(_TIMES_FINER):
        raised = raised + step * _SHARES
        reach, _, _ = _about(shape, single, columns, raised)
        fits = np.flatnonzero(reach <= width - _CLEAR)
        if not len(fits):
            return None
        at = fits[np.abs(raised[fits]).argmin()]
        raised, step = raised[at : at + 1], step * float(_SHARES[1] - _SHARES[0])
    return float(raised[0])


def _about(
    shape: UnitShape, single: Unit, columns: int, raised: Values
) -> tuple[Values, Values, Values]:
    """Return how long rows are, and how far the second piece lies beside the first, and the third.

    By how much every other one is raised, mm.
    """
    (member,) = single.members
    turn, other = member.turn_deg, member.turn_deg + _HALF_TURN
    one, two = member.outline.bounds, shape.at(other).outline.bounds
    y = one.bottom - two.bottom + raised
    beside = shape.right_of(turn, other).at(y)
    period = np.maximum(single.period, beside + shape.right_of(other, turn).at(-y))
    pairs, even = divmod(columns - 1, 2)
    left = np.minimum(one.left, beside + two.left)
    last = (pairs if even else pairs - 1) * period + beside + two.right
    return np.maximum(pairs * period + one.right, last) - left, beside, period
