"""Distances between cuts."""

from __future__ import annotations

from collections.abc import Sequence

from geometry import polygons
from geometry.measure import flattened
from geometry.model.outline import Outline
from geometry.model.plan import Stroke

#: Chord tolerance for arcs, mm; enough for these distances.
_CHORD = 0.005
#: Strokes closer than this, mm, touch.
_TOUCH = 0.01


def min_rule_distance(strokes: Sequence[Stroke]) -> float | None:
    """Return the smallest distance between closed strokes, mm; ``None`` for fewer than two."""
    rings = _rings(strokes)
    if len(rings) < 2:  # noqa: PLR2004 - two
        return None
    tree = polygons.STRtree(rings)
    _, away = tree.query_nearest(rings, exclusive=True, return_distance=True, all_matches=False)
    return float(away.min())


def min_clear_distance(strokes: Sequence[Stroke], within: float) -> float | None:
    """Return the smallest distance of closed strokes that do not touch, mm.

    Shape:
        ``None`` if no separate strokes are closer than ``within`` mm. Touching strokes share an
        edge or a corner.
    """
    rings = _rings(strokes)
    if not rings:
        return None
    firsts, seconds = polygons.STRtree(rings).query(rings, predicate="dwithin", distance=within)
    pairs = [(a, b) for a, b in zip(firsts.tolist(), seconds.tolist(), strict=True) if a < b]
    away = [float(polygons.distance(rings[a], rings[b])) for a, b in pairs]
    return min((each for each in away if each > _TOUCH), default=None)


def _rings(strokes: Sequence[Stroke]) -> list[polygons.LinearRing]:
    return [
        polygons.LinearRing(flattened(Outline(stroke.vertices), _CHORD))
        for stroke in strokes
        if stroke.closed
    ]
