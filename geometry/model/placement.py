"""Where pieces lie in one filling of the work area."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from geometry.model.transform import Rigid


@dataclass(frozen=True, slots=True)
class Placement:
    """One outline of ``piece`` at its place."""

    piece: str
    move: Rigid


@dataclass(frozen=True)
class Load:
    """One filling of the work area, cut ``repeats`` times in a row.

    ``placed`` counts outlines by piece; finished pieces are that times the run's layers.
    """

    placements: tuple[Placement, ...]
    repeats: int = 1

    @property
    def placed(self) -> Mapping[str, int]:
        """Outlines by piece, pieces in the order of their first placement."""
        counts: dict[str, int] = {}
        for placement in self.placements:
            counts[placement.piece] = counts.get(placement.piece, 0) + 1
        return counts
