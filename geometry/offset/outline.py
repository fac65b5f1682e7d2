"""Offsets of any simple outline, out or in: the remaining parts, and what happened.

The patch of a piece (``allowance``) must lose nothing; here edges may vanish, notches close and
necks split, and the result reports it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from geometry.measure import area, corner_turns
from geometry.model.outline import Outline, Region, Vertex
from geometry.model.points import distance
from geometry.model.segments import Arc
from geometry.offset.corners import Corners, corner_vertices, treat
from geometry.offset.joined import LostError, joined, ways_round
from geometry.offset.raw import MovedEdge, move_edges
from geometry.offset.slices import bounding_stretches
from geometry.offset.stitch import stitched
from geometry.tolerance import SAME_POINT, SMOOTH_TURN

_USUAL = Corners()
#: Parts with less area than this, mm2, are rounding.
_MIN_PART = 1.0e-6


@dataclass(frozen=True)
class OffsetResult:
    """Outer rings (largest first) and holes, all counter-clockwise, and what happened.

    ``events`` describes the result in words: ``edge 3 vanished``, ``parted in 2``, ``closed in on 1
    hole``, ``nothing is left``.
    """

    outlines: tuple[Outline, ...]
    holes: tuple[Outline, ...]
    events: tuple[str, ...]


def offset_outline(outline: Outline, by: float, *, corners: Corners = _USUAL) -> OffsetResult:
    """Return the offset of a simple, counter-clockwise outline, mm, outwards if positive.

    Shape:
        Arcs stay arcs. An empty result has a reason and is not an error.

    Args:
        outline: the outline.
        by: the distance; negative moves in.
        corners: treatment of opening corners: convex ones for outward offsets, hollow ones for
            inward ones.
    """
    return offset_region(Region(outline), by, corners=corners)


def offset_region(region: Region, by: float, *, corners: Corners = _USUAL) -> OffsetResult:
    """Return the offset of an outline with holes, mm: positive adds material.

    Shape:
        If positive, the outer outline moves out and holes shrink. If negative, the outline moves in
        and holes grow, and may run into each other and through the outer edge. Marks are left out.

    Args:
        region: a simple outline with simple holes inside it that do not meet.
        by: the distance.
        corners: treatment of the corners that open.
    """
    if by == 0.0:
        return OffsetResult((region.outline,), region.holes, ())
    if by > 0.0 and not region.holes:
        whole = _unbroken(region.outline, by, corners)
        if whole is not None:
            return OffsetResult((whole,), (), ())
    sources = (region.outline, *(hole.reversed() for hole in region.holes))
    raw = [_raw_ring(ring, by, corners) for ring in sources]
    stretches, left_of = bounding_stretches([ring for ring, _ in raw])
    rings = stitched(stretches)
    outer = sorted((r for r in rings if area(r) > _MIN_PART), key=area, reverse=True)
    holes = sorted((r.reversed() for r in rings if area(r) < -_MIN_PART), key=area, reverse=True)
    lost = [
        _lost(len(source.vertices), of, left_of[number])
        for number, (source, (_, of)) in enumerate(zip(sources, raw, strict=True))
    ]
    return OffsetResult(tuple(outer), tuple(holes), tuple(_events(lost, outer, holes)))


def _unbroken(outline: Outline, by: float, corners: Corners) -> Outline | None:
    """Return the moved outline if all edges remain and do not meet, otherwise ``None``."""
    moved = move_edges(outline, [by] * len(outline.vertices))
    turns = corner_turns(outline)
    try:
        return joined(moved, ways_round(outline, moved, [corners] * len(moved), turns), turns)
    except LostError:
        return None


def _raw_ring(outline: Outline, by: float, corners: Corners) -> tuple[Outline, list[int | None]]:
    """Return the ring of moved edges, and the edge of each segment.

    Opening corners are treated; the others are joined through the outline's own corner. That makes
    a small loop with the opposite winding, which is always removed later.
    """
    turns = corner_turns(outline)
    vertices: list[tuple[Vertex, int | None]] = []
    for index, edge in enumerate(move_edges(outline, [by] * len(outline.vertices))):
        at = outline.vertices[index]
        if abs(turns[index]) > SMOOTH_TURN:
            if turns[index] * by > 0.0:
                opened = _opened(outline, index, by, corners)
                vertices.extend((vertex, None) for vertex in opened)
                if not edge.source.bulge:
                    # A straight edge starts where its corner ends.
                    vertices[-1] = (opened[-1], index)
            else:
                vertices.append((Vertex(at.x, at.y), None))
        vertices.extend(_drawn(edge, index))
    kept = [
        (vertex, source)
        for (vertex, source), (following, _) in zip(
            vertices, vertices[1:] + vertices[:1], strict=True
        )
        if distance(vertex.point, following.point) > SAME_POINT
    ]
    return Outline(tuple(vertex for vertex, _ in kept)), [source for _, source in kept]


def _drawn(edge: MovedEdge, index: int) -> list[tuple[Vertex, int | None]]:
    """Return a moved edge's vertices, each with the number of the edge that starts there.

    An arc moved past its centre bounds nothing. It is drawn through the centre, because on the
    other side it would have the same winding and enclose an area that should be removed.
    """
    part, source = edge.segment, edge.source
    if isinstance(source, Arc) and (part is None or edge.turned_inside_out):
        centre = source.centre
        points = [centre] if part is None else [part.start, centre, part.end]
        return [(Vertex(point.x, point.y), None) for point in points]
    if part is None:
        return []
    after = None if part.bulge else index
    return [
        (Vertex(part.start.x, part.start.y, part.bulge), index),
        (Vertex(part.end.x, part.end.y), after),
    ]


def _opened(outline: Outline, index: int, width: float, corners: Corners) -> list[Vertex]:
    at = outline.vertices[index].point
    before = outline.segments[index - 1].end_heading
    after = outline.segments[index].start_heading
    if width > 0.0:
        return corner_vertices(treat(at, before, after, (width, width), corners))
    # Moving in is the same as moving the reversed ring out.
    back = treat(at, after + math.pi, before + math.pi, (-width, -width), corners)
    vertices = corner_vertices(back)[::-1]
    bulges = [-vertex.bulge if vertex.bulge else 0.0 for vertex in vertices[1:]] + [0.0]
    return [v._replace(bulge=b) for v, b in zip(vertices, bulges, strict=True)]


def _lost(count: int, of: Sequence[int | None], kept: set[int]) -> list[int]:
    """Return the ring's edges that are in none of the remaining segments."""
    here = {of[index] for index in kept}
    return [index for index in range(count) if index not in here]


def _events(lost: Sequence[Sequence[int]], outer: list[Outline], holes: list[Outline]) -> list[str]:
    if not outer:
        return ["nothing is left"]
    events = [f"edge {index} vanished" for index in lost[0]]
    for number, edges in enumerate(lost[1:]):
        events.extend(f"edge {index} of hole {number} vanished" for index in edges)
    if len(outer) > 1:
        events.append(f"parted in {len(outer)}")
    before, now = len(lost) - 1, len(holes)
    if now > before:
        events.append(f"closed in on {now - before} hole{'s' if now - before > 1 else ''}")
    elif now < before:
        events.append(f"{before} hole{'s' if before > 1 else ''} became {now or 'none'}")
    return events
