"""Straight edges of pieces in their places, and where two of them lie on each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.layout.rows.row_figures import Values
from geometry.model.outline import Outline
from geometry.model.transform import cos_sin_deg

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


def lengths_when_moved(first: StraightEdges, second: StraightEdges, moves: Values) -> Values:
    """Return how much of edges lies on others after each of many moves, mm.

    Args:
        first: the edges that are moved.
        second: those that stay.
        moves: a row for each: a turn about the origin, degrees, then a shift in x and y.
    """
    turns, turn_of = np.unique(moves[:, 0], return_inverse=True)
    cos, sin = np.array([cos_sin_deg(turn) for turn in turns.tolist()]).reshape(-1, 2).T[..., None]
    ax, ay, x, y = (
        part
        for points in (first.along, first.start)
        for part in (
            points[:, 0] * cos - points[:, 1] * sin,
            points[:, 0] * sin + points[:, 1] * cos,
        )
    )
    bx, by = second.along.T
    opposite = (np.abs(ax[..., None] * by - ay[..., None] * bx) < _OFF_ANGLE) & (
        ax[..., None] * bx + ay[..., None] * by < 0.0
    )
    turn, mine, other = np.nonzero(opposite)
    ax, ay = ax[turn, mine], ay[turn, mine]
    dx, dy = second.start[other, 0] - x[turn, mine], second.start[other, 1] - y[turn, mine]
    # Every move with every pair of edges that run in opposite directions after its turn.
    counts = np.bincount(turn, minlength=len(turns))
    per_move = counts[turn_of]
    move = np.repeat(np.arange(len(moves)), per_move)
    begin = (np.cumsum(counts) - counts)[turn_of] - (np.cumsum(per_move) - per_move)
    pair = np.arange(len(move)) + begin[move]
    off = (dx * ay - dy * ax)[pair] - moves[move, 1] * ay[pair] + moves[move, 2] * ax[pair]
    near = np.abs(off) < OFF_LINE
    move, pair = move[near], pair[near]
    # The second runs the other way: it begins where the stretch ends.
    high = (dx * ax + dy * ay)[pair] - moves[move, 1] * ax[pair] - moves[move, 2] * ay[pair]
    low = np.maximum(high - second.length[other[pair]], 0.0)
    high = np.minimum(high, first.length[mine[pair]])
    lengths = np.maximum(high - low, 0.0)
    return np.bincount(move, lengths, minlength=len(moves)).astype(np.float64)
