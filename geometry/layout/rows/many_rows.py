"""Many patterns of rows laid at once, for what is to be measured of them all."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.laid_rows import LaidRows
from geometry.layout.rows.row_figures import Values
from geometry.layout.rows.stacks import Stack


class ManyRows:
    """Patterns of rows whose units have equally many pieces.

    Attributes:
        members: pieces of a unit.
        period: of the rows of each pattern, mm.
    """

    def __init__(self, stacks: Sequence[Stack]) -> None:
        units = {id(unit): unit for each in stacks for unit in (each.first, each.other)}
        at = {key: number for number, key in enumerate(units)}
        self.members = len(stacks[0].first.members)
        self._kinds = np.array([(at[id(each.first)], at[id(each.other)]) for each in stacks])
        self._steps = np.array(
            [((one.dx, one.dy), (two.dx, two.dy)) for one, two in (each.steps for each in stacks)]
        )
        # Of each unit once: many patterns share it.
        self._boxes = np.array([unit.boxes for unit in units.values()])
        self._ends = np.array([(unit.bottom, unit.top) for unit in units.values()])
        self._period = np.array([unit.period for unit in units.values()])
        self.period = self._period[self._kinds[:, 0]]
        self._laid: dict[bool, tuple[LaidRows, NDArray[np.int64], NDArray[np.int64]]] = {}

    def with_each_first(
        self,
        measured: Callable[..., Values],
        heights: Values,
        *by: Values,
        most: Values | None = None,
        along: bool = False,
    ) -> tuple[Values, Values]:
        """Return what is measured with one and with the other kind of row first.

        Args:
            measured: is given laid rows, the series of them below a height, and what it takes
                besides.
            heights: below which rows lie.
            by: what ``measured`` takes besides, for each pattern.
            most: rows that are enough.
            along: whether only that counts how far pieces lie along their rows.
        """
        laid, every = self.laid(along=along)
        enough = None if most is None else most[every]
        found = laid.sliced(measured, heights[every], [each[every] for each in by], enough)
        return self.both(found, along=along)

    def laid(self, *, along: bool) -> tuple[LaidRows, NDArray[np.int64]]:
        """Return all patterns, then those for which it matters with the other kind of row first.

        With the numbers of all in this order.
        """
        if along not in self._laid:
            self._laid[along] = self._lay(along=along)
        laid, _, every = self._laid[along]
        return laid, every

    def both(self, found: Values, *, along: bool) -> tuple[Values, Values]:
        """Return what is found of rows as laid with one and with the other kind of row first."""
        _, differ, _ = self._laid[along]
        count = len(self.period)
        other = found[:count].copy()
        other[differ] = found[count:]
        return found[:count], other

    def _lay(self, *, along: bool) -> tuple[LaidRows, NDArray[np.int64], NDArray[np.int64]]:
        """Return all patterns, then those for which it matters with the other kind of row first.

        With them the numbers of the latter, and of all in this order.
        """
        differ = self._differing(along=along)
        every = np.concatenate([np.arange(len(self.period)), differ])
        kinds = np.concatenate([self._kinds, self._kinds[differ, ::-1]])
        steps = np.concatenate([self._steps, self._steps[differ, ::-1]])
        x, y, left, right, top = self._boxes[kinds].transpose(3, 0, 1, 2)
        ends, period = self._ends[kinds], self.period[every]
        laid = LaidRows(
            x, y, left, right, top, period, steps[:, :, 0], steps[:, :, 1], ends[:, :, 0],
            ends[:, :, 1],
        )  # fmt: skip
        return laid, differ, every

    def _differing(self, *, along: bool) -> NDArray[np.int64]:
        """Return the patterns for which it matters which kind of row comes first.

        Not of single pieces of one kind whose rows are equally far apart: across a strip they are
        then as seen in a mirror.
        """
        if self.members > 1:
            return np.arange(len(self.period))
        same = (self._kinds[:, 0] == self._kinds[:, 1]) & (
            self._steps[:, 0, 1] == self._steps[:, 1, 1]
        )
        if along:
            same &= self._steps[:, 0, 0] == self._steps[:, 1, 0]
        return np.flatnonzero(~same)
