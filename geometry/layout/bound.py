"""How few loads could do at the very best.

Source:
    Own derivation: pieces a gap apart still do not overlap when each is grown by half the gap,
    and then lie within the area grown by half the gap. A convex piece grows by at least half the
    gap times its perimeter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from geometry.layout.item import Item
from geometry.measure import area, corner_turns, perimeter
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline


def grown_area(outline: Outline, gap: float) -> float:
    """Return what a piece takes up at the least with its half of the gap about it, mm2."""
    hollow = any(vertex.bulge < 0.0 for vertex in outline.vertices) or any(
        turn < 0.0 for turn in corner_turns(outline)
    )
    # A hollow outline's band may overlap itself; its area alone is always a bound.
    return area(outline) + (0.0 if hollow else gap / 2.0 * perimeter(outline))


def room_area(room: WorkArea, gap: float) -> float:
    """Return the most that grown pieces can take up in the work area, mm2."""
    if room.is_rectangle:
        return (room.bounds.width + gap) * (room.bounds.height + gap)
    box = room.bounds
    # A band half a gap wide about any boundary, at most.
    around = area(room.boundary) + gap / 2.0 * perimeter(room.boundary) + math.pi * gap * gap / 4.0
    return min(around, (box.width + gap) * (box.height + gap))


def loads_at_least(items: Sequence[Item], room: WorkArea, gap: float) -> int:
    """Return a number of loads that no layout can go below."""
    whole = room_area(room, gap)
    taken = sum(grown_area(item.outline, gap) * item.quantity for item in items)
    return max(1, math.ceil(taken / whole - 1e-9))
