"""Placements of pieces in a load."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import attrgetter

from geometry.model.transform import Rigid

_PIECE = attrgetter("piece")


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
        return dict(Counter(map(_PIECE, self.placements)))


def shifted(placements: Sequence[Placement], dx: float, dy: float) -> tuple[Placement, ...]:
    """Return placements moved together, mm."""
    return tuple([Placement(each.piece, each.move.shifted(dx, dy)) for each in placements])
