"""What a blade set by hand really cuts: a row of straight slits along each stroke.

Source:
    A stab of width w at an angle d off its path reaches (w / 2) sin(d) to each side (derived).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from geometry.model.plan import Stroke
from geometry.model.points import Point


def slits(strokes: Sequence[Stroke], width: float, step: float) -> list[tuple[Point, Point]]:
    """Return every slit of the cut strokes as its two ends.

    Shape:
        Along each line or arc stabs no further apart than ``step``, the first and last at its
        ends, each ``width`` long about its middle at the stroke's ``angle_deg``.
    """
    found = []
    for stroke in strokes:
        if stroke.operation != "cut" or stroke.angle_deg is None:
            continue
        half = width / 2.0
        dx = half * math.cos(math.radians(stroke.angle_deg))
        dy = half * math.sin(math.radians(stroke.angle_deg))
        for x, y in _stabs(stroke, step):
            found.append((Point(x - dx, y - dy), Point(x + dx, y + dy)))
    return found


def _stabs(stroke: Stroke, step: float) -> list[tuple[float, float]]:
    places = []
    rows = stroke.vertices
    for a, b in itertools.pairwise(rows):
        chord = math.hypot(b.x - a.x, b.y - a.y)
        if not a.bulge:
            count = max(1, math.ceil(chord / step))
            for i in range(count + 1):
                share = i / count
                places.append((a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share))
            continue
        sweep = 4.0 * math.atan(a.bulge)
        radius = chord / (2.0 * math.sin(abs(sweep) / 2.0))
        off = math.copysign(math.sqrt(max(0.0, radius**2 - chord**2 / 4.0)), sweep)
        cx = (a.x + b.x) / 2.0 - off * (b.y - a.y) / chord
        cy = (a.y + b.y) / 2.0 + off * (b.x - a.x) / chord
        begin = math.atan2(a.y - cy, a.x - cx)
        count = max(1, math.ceil(radius * abs(sweep) / step))
        for i in range(count + 1):
            at = begin + sweep * i / count
            places.append((cx + radius * math.cos(at), cy + radius * math.sin(at)))
    return places
