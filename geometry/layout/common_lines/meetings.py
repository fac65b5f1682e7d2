"""Where straight edges of pieces lie on each other, and what of them stays open."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from geometry.layout.common_lines.straight_edges import SHORTEST, StraightEdges, shared
from geometry.layout.rows.row_figures import Values

#: A stretch of an edge on which another lies: from where, to where, mm, and the other's piece.
Stretch = tuple[float, float, int]


@dataclass(frozen=True)
class Meetings:
    """Straight edges of pieces, and where those of one piece lie on those of others.

    Attributes:
        edges: of all pieces.
        covered: by the number of an edge, its stretches on which others lie, in order.
    """

    edges: StraightEdges
    covered: Mapping[int, Sequence[Stretch]]

    @classmethod
    def of(cls, edges: StraightEdges) -> Meetings:
        """Return where edges lie on each other."""
        covered: dict[int, list[Stretch]] = {}
        _cover(covered, edges, edges, 0)
        return cls(edges, covered)

    def with_one(self, edges: StraightEdges) -> Meetings:
        """Return these edges and those of one more piece."""
        old, count = self.edges, len(self.edges.length)
        number = int(old.owner.max(initial=-1)) + 1
        new = replace(edges, owner=np.full(len(edges.length), number))
        covered = {row: list(stretches) for row, stretches in self.covered.items()}
        _cover(covered, new, old, count)
        _cover(covered, old, new, 0)
        both = StraightEdges(
            np.concatenate([old.start, new.start]),
            np.concatenate([old.along, new.along]),
            np.concatenate([old.length, new.length]),
            np.concatenate([old.owner, new.owner]),
        )
        return Meetings(both, covered)

    @cached_property
    def _open(self) -> Values:
        """Open stretches: the number of the edge, and from where to where on it."""
        return self._stretches(range(len(self.edges.length)))

    def open_parts(self, without: Container[int] = ()) -> StraightEdges:
        """Return the stretches of edges on which no other lies, without those of some pieces."""
        edges, table = self.edges, self._open
        if without:
            owners = edges.owner.tolist()
            gone = np.array([owner in without for owner in owners], dtype=bool)
            beside = [
                row
                for row, stretches in self.covered.items()
                if not gone[row] and any(other in without for _, _, other in stretches)
            ]
            gone[beside] = True
            again = self._stretches(sorted(beside), without)
            table = np.concatenate([table[~gone[table[:, 0].astype(np.int64)]], again])
        which = table[:, 0].astype(np.int64)
        along = edges.along[which]
        start = edges.start[which] + along * table[:, 1:2]
        return StraightEdges(start, along, table[:, 2] - table[:, 1], edges.owner[which])

    def _stretches(self, rows: Iterable[int], without: Container[int] = ()) -> Values:
        """Return the open stretches of some edges where pieces are taken off."""
        lengths = self.edges.length.tolist()
        parts: list[tuple[int, float, float]] = []
        for row in rows:
            at = 0.0
            for begins, ends, other in self.covered.get(row, ()):
                if other in without:
                    continue
                if begins - at > SHORTEST:
                    parts.append((row, at, begins))
                at = max(at, ends)
            if lengths[row] - at > SHORTEST:
                parts.append((row, at, lengths[row]))
        return np.array(parts, dtype=np.float64).reshape(-1, 3)

    def neighbours(self) -> dict[int, dict[int, float]]:
        """Return with which others each piece has how much of its edges in common, mm."""
        owners = self.edges.owner.tolist()
        found: dict[int, dict[int, float]] = {}
        for row, stretches in sorted(self.covered.items()):
            mine = found.setdefault(owners[row], {})
            for begins, ends, other in stretches:
                mine[other] = mine.get(other, 0.0) + ends - begins
        return found


def _cover(
    covered: dict[int, list[Stretch]], first: StraightEdges, second: StraightEdges, start: int
) -> None:
    """Add the stretches of the first edges on which the second lie; rows count from ``start``."""
    low, high = shared(first, second)
    for row, column in np.argwhere(high - low > SHORTEST).tolist():
        stretch = float(low[row, column]), float(high[row, column]), int(second.owner[column])
        stretches = covered.setdefault(row + start, [])
        stretches.append(stretch)
        stretches.sort()
