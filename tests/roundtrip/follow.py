"""How far a path that an outside reader found stands off a planned stroke, both ways.

Only arithmetic on the plan's lines and arcs: none of what writers and read-back use.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from geometry.model.plan import Stroke
from geometry.model.segments import Arc, Segment

#: Places looked at on each segment of the plan.
_LOOKS = 9
#: Ends of moves this near, mm, are the same place.
_NEAR = 1e-3
Path = Sequence[tuple[float, float]]


class AstrayError(AssertionError):
    """A path does not follow its stroke."""


def off(path: Path, stroke: Stroke, *, directed: bool = True) -> float:
    """Return the larger of the distances from path to stroke and from stroke to path, mm.

    Infinite when the path runs the other way, or is longer or shorter than the stroke by a
    hundredth: part of it is missing or gone over twice.
    """
    points = np.asarray(path, dtype=float)
    near = np.full(len(points), np.inf)
    for part in stroke.segments:
        near = np.minimum(near, _distances(points, part))
    shares = [k / (_LOOKS - 1) for k in range(_LOOKS)]
    wanted = [part.point_at(share) for part in stroke.segments for share in shares]
    back = shapely.distance(shapely.points(np.asarray(wanted)), shapely.LineString(points))
    worst = max(float(near.max()), float(back.max()), _ends(points, stroke))
    length = float(np.hypot(*np.diff(points, axis=0).T).sum())
    if abs(length - stroke.length) > 0.01 * stroke.length + 2.0 * worst:
        return math.inf
    if stroke.closed and directed and _area(points) * _area(_ring(stroke)) <= 0.0:
        return math.inf
    return worst


def _ends(points: np.ndarray, stroke: Stroke) -> float:
    """Return how far the ends of a path stand off, those of a closed one from each other."""
    if stroke.closed:
        return math.dist(points[0], points[-1])
    first, last = stroke.segments[0].start, stroke.segments[-1].end
    return max(math.dist(points[0], first), math.dist(points[-1], last))


def _distances(places: np.ndarray, part: Segment) -> np.ndarray:
    ends = [np.hypot(*(places - np.asarray(end)).T) for end in (part.start, part.end)]
    nearer = np.minimum(*ends)
    if isinstance(part, Arc):
        x, y = (places - np.asarray(part.centre)).T
        first = math.atan2(part.start.y - part.centre.y, part.start.x - part.centre.x)
        along = (np.arctan2(y, x) - first) * math.copysign(1.0, part.sweep) % math.tau
        beside = np.abs(np.hypot(x, y) - part.radius)
        within = along <= abs(part.sweep)
    else:
        way = np.asarray(part.end) - np.asarray(part.start)
        x, y = (places - np.asarray(part.start)).T
        along = (x * way[0] + y * way[1]) / part.length
        beside = np.abs(x * way[1] - y * way[0]) / part.length
        within = (along >= 0.0) & (along <= part.length)
    distances: np.ndarray = np.where(within, np.minimum(beside, nearer), nearer)
    return distances


def is_circle(stroke: Stroke) -> bool:
    """Tell a circle, which is two half circles, from a lens, which is two arcs."""
    bulges = [vertex.bulge for vertex in stroke.vertices]
    # What is placed is moved: the last digit of a bulge may differ.
    halves = [math.isclose(abs(bulge), 1.0, rel_tol=1e-9) for bulge in bulges]
    return stroke.closed and halves == [True, True] and bulges[0] * bulges[1] > 0.0


def _ring(stroke: Stroke) -> np.ndarray:
    return np.asarray([part.point_at(k / 8) for part in stroke.segments for k in range(8)])


def _area(points: np.ndarray) -> float:
    x, y = points.T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2.0


def joined(moves: Sequence[Path]) -> list[list[tuple[float, float]]]:
    """Join moves end to end, for readers that tell strokes from each other by gaps alone."""
    found: list[list[tuple[float, float]]] = []
    for move in moves:
        if found and math.dist(found[-1][-1], move[0]) < _NEAR:
            found[-1].extend(move[1:])
        else:
            found.append(list(move))
    return found


def chained(strokes: Sequence[Stroke], per_mm: float) -> list[Stroke]:
    """Join strokes that begin where the one before ends, on a grid, as such readers see them."""
    found: list[Stroke] = []
    for stroke in strokes:
        if found and _on_grid(_ends_of(found[-1])[1], per_mm) == _on_grid(
            _ends_of(stroke)[0], per_mm
        ):
            before = found[-1]
            first = (*before.vertices, *before.vertices[:1]) if before.closed else before.vertices
            more = (*stroke.vertices, *stroke.vertices[:1]) if stroke.closed else stroke.vertices
            found[-1] = replace(before, vertices=(*first[:-1], *more), closed=False)
        else:
            found.append(stroke)
    return found


def _ends_of(stroke: Stroke) -> tuple[Sequence[float], Sequence[float]]:
    return stroke.segments[0].start, stroke.segments[-1].end


def _on_grid(place: Sequence[float], per_mm: float) -> list[int]:
    return [round(value * per_mm) for value in place]


def follow(
    paths: Sequence[Path],
    strokes: Sequence[Stroke],
    tolerance: float,
    *,
    of_radius: float = 0.0,
    circles_any_way: bool = False,
) -> None:
    """Assert that paths are the strokes, in order, each within a tolerance, mm.

    Args:
        paths: what a reader found.
        strokes: what was planned.
        tolerance: mm.
        of_radius: what the reader adds to it by drawing arcs its own way, a share of the radius.
        circles_any_way: whether it draws a circle in a direction of its own.
    """
    if len(paths) != len(strokes):
        raise AstrayError(f"{len(paths)} paths for {len(strokes)} strokes")
    astray = []
    for number, (path, stroke) in enumerate(zip(paths, strokes, strict=True)):
        radii = [part.radius for part in stroke.segments if isinstance(part, Arc)]
        allowed = tolerance + of_radius * max(radii, default=0.0)
        far = off(path, stroke, directed=not (circles_any_way and is_circle(stroke)))
        if not far <= allowed:
            astray.append(f"{number} {stroke.piece or stroke.part}: {far:.4f} mm")
    if astray:
        raise AstrayError(f"{len(astray)} strokes stand off: {'; '.join(astray[:5])}")
