"""Placements of pieces in a load."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from geometry.model.transform import Rigid


@dataclass(frozen=True, slots=True)
class Placement:
    """One placed outline of ``piece``."""

    piece: str
    move: Rigid


@dataclass(frozen=True)
class Load:
    """One load of the work area, cut ``repeats`` times.

    ``outlines`` counts outlines by piece; finished pieces are that times the run's layers.
    """

    placements: tuple[Placement, ...]
    repeats: int = 1

    @property
    def outlines(self) -> Mapping[str, int]:
        """Return the number of outlines by piece, in the order of first placement."""
        counts: dict[str, int] = {}
        for placement in self.placements:
            counts[placement.piece] = counts.get(placement.piece, 0) + 1
        return counts


def shifted(placements: Sequence[Placement], dx: float, dy: float) -> tuple[Placement, ...]:
    """Return placements moved together, mm."""
    return tuple(Placement(each.piece, each.move.shifted(dx, dy)) for each in placements)
