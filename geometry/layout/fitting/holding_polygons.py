"""Outlines as polygons that hold them: what is safe for the polygon is safe for the outline."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.model.outline import Outline
from geometry.model.segments import Arc
from geometry.model.transform import Rigid

Coordinates = NDArray[np.float64]

#: How far a holding polygon may stand off an arc, mm. Layouts that hang on less are drawn
#: together exactly afterwards.
STAND_OFF = 0.05
#: The same for hollow arcs, whose chords part the polygon into convex pieces, the fewer the
#: faster.
HOLLOW_STAND_OFF = 0.25


@lru_cache(maxsize=4096)
def turned(outline: Outline, turn_deg: float, mirrored: bool = False) -> Outline:  # noqa: FBT001, FBT002
    """Return the outline turned about its origin."""
    return Rigid(turn_deg, mirrored=mirrored).outline(outline)


@lru_cache(maxsize=4096)
def holding_polygon(outline: Outline) -> Coordinates:
    """Return the vertices of a polygon that contains the outline.

    Shape:
        (n, 2), counter-clockwise, first not repeated. Bulging arcs are replaced by tangents,
        hollow ones by chords, so the polygon errs outwards everywhere.

    Tolerance:
        It stands off the outline by at most ``STAND_OFF`` mm, ``HOLLOW_STAND_OFF`` at hollow
        arcs.
    """
    points: list[tuple[float, float]] = []
    for part in outline.segments:
        points.append(part.start)
        if isinstance(part, Arc):
            points.extend(_round_arc(part))
    return np.array(points, dtype=np.float64)


def _round_arc(arc: Arc) -> list[tuple[float, float]]:
    stand_off = STAND_OFF if arc.bulge > 0.0 else HOLLOW_STAND_OFF
    step = 2.0 * math.acos(arc.radius / (arc.radius + stand_off))
    count = max(1, math.ceil(abs(arc.sweep) / step))
    if arc.bulge < 0.0:
        return [arc.point_at(index / count) for index in range(1, count)]
    centre = arc.centre
    reach = 1.0 / math.cos(abs(arc.sweep) / count / 2.0)
    points = []
    for index in range(count):
        x, y = arc.point_at((index + 0.5) / count)
        points.append((centre.x + (x - centre.x) * reach, centre.y + (y - centre.y) * reach))
    return points


@lru_cache(maxsize=4096)
def is_held_convex(outline: Outline) -> bool:
    """Return whether the polygon that contains an outline is convex."""
    return is_convex(holding_polygon(outline))


def is_convex(polygon: Coordinates) -> bool:
    """Return whether a counter-clockwise polygon is convex."""
    edges = np.roll(polygon, -1, axis=0) - polygon
    following = np.roll(edges, -1, axis=0)
    cross = edges[:, 0] * following[:, 1] - edges[:, 1] * following[:, 0]
    scale = np.hypot(*edges.T) * np.hypot(*following.T)
    return bool(np.all(cross >= -1e-9 * scale))


@lru_cache(maxsize=256)
def narrowest(outline: Outline) -> float:
    """Return the least distance of two parallel lines that hold a polygon around the outline, mm.

    Source:
        One of them runs along an edge of the convex hull; elementary.
    """
    hull = polygons.outer_ring(polygons.convex_hull(polygons.Polygon(holding_polygon(outline))))
    along = np.roll(hull, -1, axis=0) - hull
    along /= np.hypot(along[:, 0], along[:, 1])[:, None]
    across = np.column_stack([-along[:, 1], along[:, 0]])
    return float(np.ptp(hull @ across.T, axis=0).min())
