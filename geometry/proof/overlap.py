"""Checks a load: no overlaps, no gaps too small, nothing outside the work area.

This independent check of every layout places the pieces again and measures their exact outlines,
including arcs, against each other and against the work area.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from geometry import polygons
from geometry.intersect import meet
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline, Vertex
from geometry.model.placement import Load
from geometry.model.points import Point, turn_between
from geometry.model.segments import Line, Segment
from geometry.model.transform import moved
from geometry.separation import contains, separation
from geometry.tolerance import LAYOUT_ACCURACY

#: Maximum number of reported faults.
_MAX_TOLD = 10
#: A corner is pulled in until both of its edges are, but by at most the accuracy over this: ten
#: times the accuracy at a corner of 11.5 degrees and at sharper ones.
_SHARPEST = 0.1
#: Directions for moving touching outlines apart.
_DIRECTIONS = 16


def check_load(
    outlines: Mapping[str, Outline], load: Load, room: WorkArea, gap: float
) -> list[str]:
    """Return the faults of a load as sentences; empty if it can be cut.

    Args:
        outlines: each piece's outline before placing.
        load: the placements.
        room: area for cut lines.
        gap: minimum distance between outlines, mm.

    Tolerance:
        Differences up to ``LAYOUT_ACCURACY`` mm are rounding.
    """
    placed = [each.move.outline(outlines[each.piece]) for each in load.placements]
    is_shaped = not (room.is_rectangle or room.open_right)
    faults = [
        f"placement {number} ({load.placements[number].piece}) leaves the work area"
        for number, outline in enumerate(placed)
        if not _inside(outline, room, is_shaped=is_shaped)
    ][:_MAX_TOLD]
    boxes = polygons.box(*np.array([_grown(outline, gap / 2.0) for outline in placed]).T)
    pairs = polygons.STRtree(boxes).query(boxes)
    known: dict[tuple[object, ...], float] = {}
    for first, second in pairs[:, pairs[0] < pairs[1]].T.tolist():
        apart = _apart(load, placed, first, second, gap, known)
        if apart < gap - LAYOUT_ACCURACY or apart < 0.0:
            faults.append(
                f"placements {first} and {second} are {max(apart, 0.0):.6f} mm apart, "
                f"the gap is {gap:g} mm"
            )
            if len(faults) >= _MAX_TOLD:
                break
    return faults


def _grown(outline: Outline, by: float) -> tuple[float, float, float, float]:
    box = outline.bounds
    return box.left - by, box.bottom - by, box.right + by, box.top + by


def _apart(
    load: Load,
    placed: list[Outline],
    first: int,
    second: int,
    gap: float,
    known: dict[tuple[object, ...], float],
) -> float:
    """Return the distance between two placed outlines, mm; -1 when they overlap."""
    a, b = load.placements[first], load.placements[second]
    # In rows most pairs have the same relative position, so measurements are cached. The key is far
    # finer than the accuracy.
    key = (
        a.piece,
        b.piece,
        a.move.mirrored,
        b.move.mirrored,
        round(a.move.turn_deg, 9),
        round(b.move.turn_deg, 9),
        round(b.move.x - a.move.x, 9),
        round(b.move.y - a.move.y, 9),
    )
    if key not in known:
        known[key] = _distance(placed[first], placed[second], gap)
    return known[key]


def _distance(first: Outline, second: Outline, gap: float) -> float:
    apart = separation(first, second, enough=gap + 1.0)
    if apart > 0.0 or gap > LAYOUT_ACCURACY:
        return apart
    # They touch. After shrinking or moving one by the accuracy they must be apart.
    return 0.0 if _only_touch(first, second) or _comes_free(first, second) else -1.0


def _only_touch(first: Outline, second: Outline) -> bool:
    """Return whether two touching outlines are apart after either shrinks by the accuracy."""
    shrunk = _pulled_in(second)
    return separation(_pulled_in(first), shrunk, enough=LAYOUT_ACCURACY) > 0.0


def _comes_free(first: Outline, second: Outline) -> bool:
    """Return whether a move by the accuracy in some direction separates two outlines.

    The smallest such move is their penetration depth. Shrinking by vertices does not reveal it
    where the middles of two arcs touch, because the vertices may move along the arcs.
    """
    moves = (math.tau * step / _DIRECTIONS for step in range(_DIRECTIONS))
    return any(
        separation(
            first,
            moved(second, LAYOUT_ACCURACY * math.cos(angle), LAYOUT_ACCURACY * math.sin(angle)),
            enough=LAYOUT_ACCURACY,
        )
        > 0.0
        for angle in moves
    )


def _pulled_in(outline: Outline) -> Outline:
    """Return the outline with every edge moved in by the accuracy."""
    segments = outline.segments
    points = []
    for index, vertex in enumerate(outline.vertices):
        before, after = segments[index - 1].end_heading, segments[index].start_heading
        turn = turn_between(before, after)
        axis = before + turn / 2.0 + math.pi / 2.0
        # At a sharp tip or a cusp, a step along the axis is enough.
        reach = LAYOUT_ACCURACY / max(_SHARPEST, math.cos(turn / 2.0))
        points.append(Point(vertex.x + reach * math.cos(axis), vertex.y + reach * math.sin(axis)))
    ends = [*points[1:], points[0]]
    return Outline(
        tuple(
            Vertex(start.x, start.y, _bulge_between(segment, start, end))
            for segment, start, end in zip(segments, points, ends, strict=True)
        )
    )


def _bulge_between(segment: Segment, start: Point, end: Point) -> float:
    """Return the bulge of an edge between ends that were moved a little.

    An arc keeps its centre: with its bulge alone it would keep its farthest point at some corners.
    """
    if isinstance(segment, Line):
        return 0.0
    centre = segment.centre

    def turned(old: Point, new: Point) -> float:
        before = math.atan2(old.y - centre.y, old.x - centre.x)
        return turn_between(before, math.atan2(new.y - centre.y, new.x - centre.x))

    sweep = segment.sweep + turned(segment.end, end) - turned(segment.start, start)
    # Outlines have no arcs of more than half a circle.
    return max(-1.0, min(1.0, math.tan(sweep / 4.0)))


def _inside(outline: Outline, room: WorkArea, *, is_shaped: bool) -> bool:
    box, limit = outline.bounds, room.bounds
    slack = LAYOUT_ACCURACY
    if not (
        box.left >= limit.left - slack
        and box.bottom >= limit.bottom - slack
        and box.top <= limit.top + slack
        and (room.open_right or box.right <= limit.right + slack)
    ):
        return False
    return not is_shaped or _inside_shape(outline, room)


def _inside_shape(outline: Outline, room: WorkArea) -> bool:
    """Return whether an outline lies within a work area that is not a rectangle."""
    if not lies_within(outline, room.boundary):
        return False
    within = _pulled_in(outline)
    return all(separation(within, keep_out, enough=1.0) > 0.0 for keep_out in room.keep_outs)


def lies_within(outline: Outline, boundary: Outline) -> bool:
    """Return whether an outline lies within another, but for the accuracy."""
    within = _pulled_in(outline)
    return contains(boundary, within.vertices[0].point) and not _crosses(within, boundary)


def _crosses(outline: Outline, boundary: Outline) -> bool:
    # Few of the many sides of a round area are near an outline; boxes exclude the others.
    edges, tree = _indexed(boundary)
    parts = outline.segments
    pairs = tree.query(np.array([polygons.box(*part.bounds()) for part in parts])).T
    return any(meet(parts[part], edges[edge]).crossings for part, edge in pairs)


@lru_cache(maxsize=16)
def _indexed(boundary: Outline) -> tuple[tuple[Segment, ...], polygons.STRtree]:
    edges = boundary.segments
    return edges, polygons.STRtree([polygons.box(*edge.bounds()) for edge in edges])
