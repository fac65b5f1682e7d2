"""A stack's two kinds of row as arrays of measures, to calculate for many pieces at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.row_units import Unit

Values = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Members:
    """Pieces of rows as arrays of the same shape: their turns, their origins, their boxes.

    Compared by identity, so that results for them can be cached.

    Units:
        mm and degrees.
    """

    turns: Values
    x: Values
    y: Values
    left: Values
    right: Values
    top: Values


@dataclass(frozen=True, eq=False)
class Figures(Members):
    """Two kinds of row that alternate, with equal numbers of members.

    ``dx`` and ``dy`` lead from a row of each kind to the next row. The members' arrays have a line
    for each kind and a column for each member.
    """

    period: float
    dx: tuple[float, float]
    dy: tuple[float, float]
    bottoms: tuple[float, float]
    tops: tuple[float, float]

    @property
    def members(self) -> int:
        """Pieces of one row in a period."""
        return int(self.x.shape[1])

    @classmethod
    def of(cls, kinds: Sequence[Unit], moves: Sequence[tuple[float, float]]) -> Figures:
        """Return the figures of two kinds of row and of the moves from each to the next."""
        rows = []
        for unit in kinds:
            for each in unit.members:
                box = each.outline.bounds
                rows.append((each.turn_deg, each.x, each.y, box.left, box.right, box.top))
        turns, x, y, left, right, top = np.array(rows).T.reshape(6, 2, -1)
        return cls(
            turns=turns,
            x=x,
            y=y,
            left=left,
            right=right,
            top=top,
            period=kinds[0].period,
            dx=(moves[0][0], moves[1][0]),
            dy=(moves[0][1], moves[1][1]),
            bottoms=(kinds[0].bottom, kinds[1].bottom),
            tops=(kinds[0].top, kinds[1].top),
        )
