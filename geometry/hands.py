"""Whether an outline and its mirror image are one piece or two."""

from __future__ import annotations

import math
from functools import lru_cache

from geometry.measure import corner_turns
from geometry.model.outline import Outline

#: Differences up to this share of the longest edge, and in radians, are rounding.
_ALIKE = 1.0e-6


@lru_cache(maxsize=1024)
def is_handed(outline: Outline) -> bool:
    """Tell whether an outline's mirror image cannot be turned to lie on it.

    Source:
        Derived: walked the other way round, a mirror image has the edges and corners of the
        outline in the opposite order; the two agree from some corner on when it is not handed.
    """
    parts, turns = outline.segments, corner_turns(outline)
    longest = max(part.length for part in parts)
    edges = [(part.length / longest, part.bulge) for part in parts]
    count = len(edges)
    # Edge by edge with the corner that it ends at; backwards, with the one it began at.
    there = [(*edge, turns[(index + 1) % count]) for index, edge in enumerate(edges)]
    back = [(*edges[-index - 1], turns[-index - 1]) for index in range(count)]
    return not any(
        all(_alike(a, b) for a, b in zip(there, back[shift:] + back[:shift], strict=True))
        for shift in range(count)
    )


def _alike(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return all(abs(a - b) <= _ALIKE * max(1.0, math.tau) for a, b in zip(one, other, strict=True))
