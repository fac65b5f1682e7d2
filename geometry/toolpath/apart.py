"""How near to each other cuts lie, and how far a tool cuts beyond the line of a piece."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from geometry.measure import flattened
from geometry.model.cutter import IndexedBlade, Laser, SteelRuleDie, Tool
from geometry.model.outline import Outline
from geometry.model.plan import Stroke

#: Arcs are looked at as chords within this, mm: no distance here is needed closer.
_CHORD = 0.005


def least_apart(strokes: Sequence[Stroke]) -> float | None:
    """Return the least distance between two closed strokes, mm; ``None`` when there are not two."""
    rings = [
        shapely.LinearRing(flattened(Outline(stroke.vertices), _CHORD))
        for stroke in strokes
        if stroke.closed
    ]
    if len(rings) < 2:  # noqa: PLR2004 - two
        return None
    tree = shapely.STRtree(rings)
    _, away = tree.query_nearest(rings, exclusive=True, return_distance=True, all_matches=False)
    return float(away.min())


def reach(tool: Tool) -> float:
    """Return how far beyond a piece's outline a tool's line or slit may go, mm.

    A layout that keeps its outlines this much inside the work area keeps the cut inside too.
    """
    if isinstance(tool, Laser):
        return tool.kerf / 2.0
    if isinstance(tool, IndexedBlade):
        return tool.width / 2.0
    if isinstance(tool, SteelRuleDie):
        return tool.rule / 2.0
    return 0.0
