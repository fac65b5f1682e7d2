"""The removal hole of a template, for lifting the paper out with a hook.

Source:
    Hobbyists' and teaching notes (hole near the centre, as from an office punch; ISO 838 punches
    6 mm); the least distance to the edge is a proposal of this project.
"""

from __future__ import annotations

from geometry.marks.room import middle
from geometry.model.outline import Outline

#: Diameter of the hole and the minimum paper around it, mm.
DIAMETER = 6.0
MIN_EDGE = 3.0


def removal_hole(template: Outline) -> Outline | None:
    """Return the hole, or ``None`` if it would leave less than ``MIN_EDGE`` mm of paper."""
    at, room = middle(template)
    radius = DIAMETER / 2.0
    if room < radius + MIN_EDGE:
        return None
    return Outline.of([(at.x + radius, at.y, 1), (at.x - radius, at.y, 1)])
