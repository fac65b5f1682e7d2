"""The mismatch along an arc: its directions are all those between its ends, not a few of them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from geometry.model.segments import Arc, Segment


@dataclass(frozen=True)
class ArcHeadings:
    """The directions of an arc, rad: from ``low`` counter-clockwise over ``width``."""

    low: float
    width: float


def sweeps(parts: Sequence[Segment]) -> tuple[ArcHeadings, ...]:
    """Return the directions of all arcs."""
    found = []
    for part in parts:
        if isinstance(part, Arc):
            start = part.start_heading
            found.append(ArcHeadings(min(start, start + part.sweep), abs(part.sweep)))
    return tuple(dict.fromkeys(found))


def worst_along(angles: Sequence[float], arcs: Sequence[ArcHeadings], turn: float) -> float:
    """Return the largest angle between an arc's direction and the nearest of a blade's angles, rad.

    Shape:
        At an arc's end, or in the middle between two neighbouring angles where the arc has it.

    Args:
        angles: of the blade, rad.
        arcs: their directions before the turn.
        turn: of the piece, rad.
    """
    worst = 0.0
    ordered = sorted({angle % math.pi for angle in angles})
    gaps = list(itertools.pairwise([*ordered, ordered[0] + math.pi]))
    for arc in arcs:
        low = arc.low + turn
        for end in (low, low + arc.width):
            worst = max(worst, min(abs(math.remainder(a - end, math.pi)) for a in ordered))
        for one, two in gaps:
            if ((one + two) / 2.0 - low) % math.pi <= arc.width:
                worst = max(worst, (two - one) / 2.0)
    return worst
