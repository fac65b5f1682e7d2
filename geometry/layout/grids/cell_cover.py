"""Pieces put on the cells of a region, so that no two cover one: an exact cover with room to spare.

Source:
    Search by the first open cell (S. Golomb and L. Baumert, "Backtrack programming", Journal of
    the ACM 12, 1965), on bits; states that failed are remembered.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

#: For every first cell that a piece covers, the cells of its places that begin there, as bits.
Places: TypeAlias = Mapping[int, Sequence[int]]


@dataclass
class CellCover:
    """The search for places of all pieces in a region.

    Attributes:
        size: cells of the region, numbered from 0 in the order in which they are filled.
        places: of each kind, in the order in which kinds are tried.
        open_cells: cells that may stay open.
        nodes: states that may still be looked at.
    """

    size: int
    places: Sequence[Places]
    open_cells: int
    nodes: int
    _failed: set[tuple[int, tuple[int, ...]]] = field(default_factory=set)

    def found(self, counts: Sequence[int]) -> list[tuple[int, int]] | None:
        """Return the kind and the cells of each piece, or ``None`` where none were found."""
        chosen: list[tuple[int, int]] = []
        left = list(counts)
        return chosen if self._put(0, left, self.open_cells, chosen) else None

    def _put(
        self, covered: int, left: list[int], open_cells: int, chosen: list[tuple[int, int]]
    ) -> bool:
        """Put all pieces that are left on cells that are not covered."""
        if not any(left):
            return True
        key = covered, tuple(left)
        if key in self._failed:
            return False
        if self.nodes <= 0:
            return False
        self.nodes -= 1
        while open_cells >= 0:
            cell = (~covered & (covered + 1)).bit_length() - 1
            if cell >= self.size:
                break
            for kind, places in enumerate(self.places):
                if not left[kind]:
                    continue
                for place in places.get(cell, ()):
                    if place & covered:
                        continue
                    left[kind] -= 1
                    chosen.append((kind, place))
                    if self._put(covered | place, left, open_cells, chosen):
                        return True
                    chosen.pop()
                    left[kind] += 1
                    if self.nodes <= 0:
                        return False
            covered |= 1 << cell
            open_cells -= 1
        self._failed.add(key)
        return False
