"""Straight edges of pieces in their places, and where two of them lie on each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.model.outline import Outline

Values = NDArray[np.float64]
Numbers = NDArray[np.int64]
#: How far edges that lie on each other may be off one line, mm: less than what cuts count as one.
OFF_LINE = 2e-5
#: The sine of the angle between such edges.
_OFF_ANGLE = 1e-7
#: Shorter stretches are no edges, mm.
SHORTEST = 1e-3


@dataclass(frozen=True)
class StraightEdges:
    """Straight edges, each with the number of the piece that it belongs to.

    Attributes:
        start: where each begins, mm; the piece lies on its left.
        along: its direction, of length 1.
        length: mm.
        owner: number of the piece.
    """

    start: Values
    along: Values
    length: Values
    owner: Numbers

    @classmethod
    def of(cls, outline: Outline) -> StraightEdges:
        """Return the edges of one outline, whose owner is 0."""
        rows = [(*line.start, *line.end) for line in outline.segments if not line.bulge]
        table = np.array(rows, dtype=np.float64).reshape(-1, 4)
        vector = table[:, 2:] - table[:, :2]
        length = np.hypot(vector[:, 0], vector[:, 1])
        along = vector / np.maximum(length, SHORTEST)[:, None]
        return cls(table[:, :2], along, length, np.zeros(len(rows), dtype=np.int64))

    @property
    def end(self) -> Values:
        """The point where each ends."""
        found: Values = self.start + self.along * self.length[:, None]
        return found

    def turned(self, cos: float, sin: float) -> StraightEdges:
        """Return them turned about the origin."""
        back = np.array([[cos, sin], [-sin, cos]])
        return StraightEdges(self.start @ back, self.along @ back, self.length, self.owner)

    @classmethod
    def together(cls, parts: Sequence[StraightEdges]) -> StraightEdges:
        """Return the edges of several pieces, whose owners are counted from 0."""
        counts = [len(each.length) for each in parts]
        return cls(
            np.concatenate([each.start for each in parts]),
            np.concatenate([each.along for each in parts]),
            np.concatenate([each.length for each in parts]),
            np.repeat(np.arange(len(parts)), counts),
        )

    def chosen(self, which: NDArray[np.bool_] | Numbers) -> StraightEdges:
        """Return some of them."""
        return StraightEdges(
            self.start[which], self.along[which], self.length[which], self.owner[which]
        )


def shared(first: StraightEdges, second: StraightEdges) -> tuple[Values, Values]:
    """Return where edges lie on edges of others, as stretches of the first ones.

    Shape:
        A row for each of the first, a column for each of the second: from where to where, mm from
        the start of the first. Where they do not meet the end comes before the start.
    """
    ax, ay = first.along[:, 0, None], first.along[:, 1, None]
    bx, by = second.along[None, :, 0], second.along[None, :, 1]
    dx = second.start[None, :, 0] - first.start[:, 0, None]
    dy = second.start[None, :, 1] - first.start[:, 1, None]
    # The second runs the other way: it begins where the stretch ends.
    high = dx * ax + dy * ay
    meets = (
        (np.abs(ax * by - ay * bx) < _OFF_ANGLE)
        & (ax * bx + ay * by < 0.0)
        & (np.abs(dx * ay - dy * ax) < OFF_LINE)
    )
    low = np.maximum(high - second.length[None, :], 0.0)
    high = np.where(meets, np.minimum(high, first.length[:, None]), -1.0)
    return low, high


def shared_when_moved(
    first: StraightEdges, second: StraightEdges, moves: Values
) -> tuple[Values, Values]:
    """Return where edges that are moved lie on others.

    Shape:
        A row for each move, a column for each pair of edges that run in opposite directions: from
        where to where, mm from the start of the first. Where they do not meet the end comes before
        the start.
    """
    cross = np.outer(first.along[:, 0], second.along[:, 1]) - np.outer(
        first.along[:, 1], second.along[:, 0]
    )
    opposite = (np.abs(cross) < _OFF_ANGLE) & (first.along @ second.along.T < 0.0)
    mine, other = np.nonzero(opposite)
    along = first.along[mine]
    apart = second.start[other] - first.start[mine]
    off = apart[:, 0] * along[:, 1] - apart[:, 1] * along[:, 0]
    off = off - np.outer(moves[:, 0], along[:, 1]) + np.outer(moves[:, 1], along[:, 0])
    # The second runs the other way: it begins where the stretch ends.
    high = (apart * along).sum(axis=1) - moves @ along.T
    low = np.maximum(high - second.length[other], 0.0)
    return low, np.where(np.abs(off) < OFF_LINE, np.minimum(high, first.length[mine]), -1.0)
