"""How far the cuts of a piece reach into its neighbours, where pieces lie near each other.

Source:
    A slot of width k about a line half of k outside a piece reaches k beyond its edges, and
    k / 2 (1 + 1 / sin(a / 2)) beyond a corner of the angle a (derived).
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping, Sequence

from geometry import polygons
from geometry.measure import flattened
from geometry.model.outline import Chain, Outline, Region
from geometry.model.placement import Load
from geometry.model.plan import Stroke
from geometry.model.points import Point

#: Chord tolerance of curves, mm, and the depth that counts as nothing beside it.
_CHORD, _SHALLOW = 0.005, 0.02
#: Largest distance of points at which the depth is measured, mm.
_ALONG = 0.5


def depth_in_neighbours(
    strokes: Sequence[Stroke],
    load: Load,
    pieces: Mapping[str, Region],
    *,
    slot: float = 0.0,
    beyond: float = 0.0,
) -> float:
    """Return how deep the cuts of any piece reach into another one, mm; 0 for nowhere.

    Args:
        strokes: the cuts, in place; those that belong to no piece are left out.
        load: the placements.
        pieces: each piece at size. Holes are ignored: what lies in them is no neighbour's.
        slot: width of what is cut about each line, mm.
        beyond: how far a blade at a stroke's angle cuts beyond its ends, mm.
    """
    cuts = [each for each in strokes if each.operation == "cut" and each.placement is not None]
    if len(load.placements) < 2 or not cuts:  # noqa: PLR2004 - a piece and its neighbour
        return 0.0
    outlines = [
        flattened(each.move.outline(pieces[each.piece].outline), _CHORD) for each in load.placements
    ]
    placed = polygons.polygons(polygons.rings_of(outlines))
    # Most cuts are near no neighbour: what measures a depth is made of few.
    lines = [_line(each, beyond) for each in cuts] if beyond else polygons.lines_of(_paths(cuts))
    at, near = polygons.STRtree(placed).query(lines, predicate="dwithin", distance=slot / 2.0)
    deepest = 0.0
    for stroke, place in zip(at.tolist(), near.tolist(), strict=True):
        if cuts[stroke].placement != place:
            line = _line(cuts[stroke], beyond)
            deepest = max(deepest, _depth(line, placed[place], slot / 2.0))
    return deepest if deepest > _SHALLOW else 0.0


def _depth(line: polygons.Geometry, piece: polygons.Polygon, half: float) -> float:
    taken = polygons.intersection(line.buffer(half) if half else line, piece)
    if taken.is_empty:
        return 0.0
    # Its corners alone lie near the piece's edges, where the depth is less than between them.
    points = polygons.points(polygons.get_coordinates(polygons.segmentize(taken, _ALONG)))
    return float(polygons.distance(points, piece.exterior).max())


def _paths(strokes: Sequence[Stroke]) -> list[list[Point]]:
    """Return each stroke as a polyline, closed ones with their first point at the end too."""
    paths = []
    for stroke in strokes:
        path = Outline(stroke.vertices) if stroke.closed else Chain(stroke.vertices)
        points = flattened(path, _CHORD)
        paths.append([*points, points[0]] if stroke.closed else points)
    return paths


def _line(stroke: Stroke, beyond: float) -> polygons.Geometry:
    """Return what the tool runs along, with the stabs of a blade at both ends."""
    (path,) = _paths([stroke])
    points = [complex(*each) for each in path]
    rows = [points]
    if beyond and stroke.angle_deg is not None:
        arm = cmath.rect(beyond, math.radians(stroke.angle_deg))
        rows += [[end - arm, end + arm] for end in (points[0], points[-1])]
    return polygons.MultiLineString([[(each.real, each.imag) for each in row] for row in rows])
