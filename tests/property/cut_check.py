"""Whether a load can be cut, measured with shapely alone: no code of the layouts or their proof.

Arcs become chords of which the farthest point is known; where that could hide a fault, the two
outlines are looked at again with chords a thousand times finer.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import lru_cache

import numpy as np
import shapely

from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement

#: What is promised, mm, and the chords' farthest points at a first and a second look.
ACCURACY = 1.0e-6
_COARSE, _FINE = 1.0e-3, 2.0e-7
_ROOM = 1.0e-6


def chords(outline: Outline, within: float) -> np.ndarray:
    """Return an outline's corners and points of its arcs, none of which is left by more."""
    points: list[tuple[float, float]] = []
    vertices = outline.vertices
    for start, end in zip(vertices, (*vertices[1:], vertices[0]), strict=True):
        points.append((start.x, start.y))
        if start.bulge:
            # derived: a bulge is the tangent of a quarter of the sweep
            sweep = 4.0 * math.atan(start.bulge)
            dx, dy = end.x - start.x, end.y - start.y
            radius = math.hypot(dx, dy) / 2.0 / abs(math.sin(sweep / 2.0))
            most = 2.0 * math.acos(max(0.0, 1.0 - within / radius))
            count = math.ceil(abs(sweep) / most)
            apart = 1.0 / math.tan(sweep / 2.0) / 2.0 if abs(abs(sweep) - math.pi) > 1e-12 else 0.0
            cx, cy = start.x + dx / 2.0 - dy * apart, start.y + dy / 2.0 + dx * apart
            first = math.atan2(start.y - cy, start.x - cx)
            steps = first + sweep * np.arange(1, count) / count
            points += list(
                zip(cx + radius * np.cos(steps), cy + radius * np.sin(steps), strict=True)
            )
    return np.array(points)


def placed(outline: Outline, place: Placement, within: float) -> shapely.Polygon:
    """Return an outline in its place, moved by matrix here."""
    move = place.move
    points = chords(outline, within)
    if move.mirrored:
        points = points * np.array([-1.0, 1.0])
    turn = math.radians(move.turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    return shapely.Polygon(points @ np.array([[cos, sin], [-sin, cos]]) + (move.x, move.y))


def faults(
    outlines: Mapping[str, Outline], load: Load, room: WorkArea, gap: float
) -> Iterator[str]:
    """Yield what is wrong with a load, in words."""
    coarse = [placed(outlines[each.piece], each, _COARSE) for each in load.placements]
    for number, (each, place) in enumerate(zip(coarse, load.placements, strict=True)):
        if not _lies_inside(each, room, 2.0 * _COARSE):
            fine = placed(outlines[place.piece], place, _FINE)
            if not _lies_inside(fine, room, 0.0):
                yield f"{number} ({place.piece}) leaves the room"
    tree = shapely.STRtree(coarse)
    near = tree.query(coarse, predicate="dwithin", distance=gap + 3.0 * _COARSE)
    for first, second in zip(*near.tolist(), strict=True):
        if first < second:
            one, other = (
                placed(outlines[load.placements[at].piece], load.placements[at], _FINE)
                for at in (first, second)
            )
            payload = _too_near(one, other, gap)
            if payload:
                yield f"{first} and {second}: {payload}"


def _too_near(one: shapely.Polygon, other: shapely.Polygon, gap: float) -> str:
    apart = one.distance(other)
    if apart > 0.0:
        return "" if apart >= gap - ACCURACY - 2.0 * _FINE else f"{apart} mm apart"
    if gap > ACCURACY + 2.0 * _FINE:
        return "they meet"
    # They may touch, along whole edges too: the one drawn in by the accuracy comes free.
    drawn_in = one.buffer(-ACCURACY - 2.0 * _FINE, join_style="mitre")
    return "they overlap" if drawn_in.intersects(other) else ""


@lru_cache(maxsize=8)
def _room(room: WorkArea, slack: float) -> tuple[shapely.Polygon, tuple[shapely.Polygon, ...]]:
    """Return a room let out by ``slack``, and its keep-outs as they are."""
    whole = shapely.Polygon(chords(room.boundary, _ROOM)).buffer(slack, join_style="mitre")
    shapely.prepare(whole)
    return whole, tuple(shapely.Polygon(chords(each, _ROOM)) for each in room.keep_outs)


def _lies_inside(piece: shapely.Polygon, room: WorkArea, spare: float) -> bool:
    """Return whether a piece lies in the room, by ``spare`` more than it would have to."""
    box, limit = piece.bounds, room.bounds
    slack = ACCURACY + _ROOM - spare
    upright = (
        box[0] >= limit.left - slack
        and box[1] >= limit.bottom - slack
        and box[3] <= limit.top + slack
        and (room.open_right or box[2] <= limit.right + slack)
    )
    if not upright or room.open_right:
        return upright
    whole, keep_outs = _room(room, slack)
    if not whole.covers(piece):
        return False
    for away in keep_outs:
        if piece.intersection(away).area > max(slack, 0.0) * piece.length:
            return False
        if spare and piece.distance(away) < spare:
            return False
    return True
