"""Pieces of many patterns of rows as they lie before any phase."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.row_figures import Values


@dataclass(frozen=True)
class RowPieces:
    """Pieces of so many rows of each pattern.

    Shape:
        A line for each piece of each row, a column for each pattern: of the patterns there are
        more, and operations on long lines are faster.

    Attributes:
        x: of the origins, before any phase.
        out: how far the left sides lie left of the origins.
        right: how far the right sides lie right of them.
        end: how high the pieces end.
        to_left: how far along the pieces are flush with the left side.
        phases: the same of the first rows as phases.
        is_ascending: whether no piece ends lower than one before it.
    """

    x: Values
    out: Values
    right: Values
    end: Values
    to_left: Values
    phases: Values
    is_ascending: bool

    def first(self, lines: int) -> RowPieces:
        """Return the first lines."""
        if lines == len(self.x):
            return self
        return RowPieces(
            self.x[:lines], self.out[:lines], self.right[:lines], self.end[:lines],
            self.to_left[:lines], self.phases[:lines], self.is_ascending,
        )  # fmt: skip


@dataclass(frozen=True)
class Series:
    """Rows of each pattern, from one kind of row on.

    Attributes:
        pieces: of as many rows as the pattern with most has.
        here: which of them there are.
        are_all: whether those are all.
        number: how many there are of each pattern.
    """

    pieces: RowPieces
    here: NDArray[np.bool_]
    are_all: bool
    number: NDArray[np.int64]
