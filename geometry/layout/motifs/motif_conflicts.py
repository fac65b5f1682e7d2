"""Which of the pieces that could lie on motifs exclude each other."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from geometry import polygons
from geometry.layout.fitting.bottom_left import Placed, Variant
from geometry.layout.fitting.holding_polygons import turned
from geometry.layout.fitting.inner_fit import HAIR
from geometry.layout.fitting.no_fit import no_fit


def exclusions(pieces: Sequence[Placed], gap: float) -> list[frozenset[int]]:
    """Return for each piece those that it would overlap or come too near to."""
    found: list[set[int]] = [set() for _ in pieces]
    if not pieces:
        return []
    boxes = []
    for each in pieces:
        box = each.variant.outline.bounds
        half = gap / 2.0
        boxes.append(
            (
                box.left + each.x - half,
                box.bottom + each.y - half,
                box.right + each.x + half,
                box.top + each.y + half,
            )
        )
    tree = polygons.STRtree(polygons.box(*np.array(boxes).T))
    for one, other in tree.query(tree.geometries).T.tolist():
        if one < other and collide(pieces[one], pieces[other], gap):
            found[one].add(other)
            found[other].add(one)
    return [frozenset(each) for each in found]


def collide(one: Placed, other: Placed, gap: float) -> bool:
    """Return whether two pieces overlap or are nearer than the gap."""
    inside = _banned(one.variant, other.variant, gap)
    return bool(polygons.contains_xy(inside, other.x - one.x, other.y - one.y))


def overlap(one: Placed, other: Placed, gap: float) -> float:
    """Return by how much two pieces would have to be moved to keep the gap, mm; 0 if they do."""
    if not collide(one, other, gap):
        return 0.0
    at = polygons.Point(other.x - one.x, other.y - one.y)
    return float(polygons.distance(at, _banned(one.variant, other.variant, gap).boundary)) + HAIR


@lru_cache(maxsize=512)
def _banned(one: Variant, other: Variant, gap: float) -> polygons.Geometry:
    """Return where the second may not lie beside the first, itself at 0, 0."""
    ring = no_fit(
        turned(one.base, one.turn_deg, one.mirrored),
        turned(other.base, other.turn_deg, other.mirrored),
        gap,
    )
    inside = polygons.Polygon(ring).buffer(-HAIR, join_style="mitre")
    polygons.prepare(inside)
    return inside
