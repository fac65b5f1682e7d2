"""The patch of a template: every edge moved out by the seam allowance, nothing lost.

Source:
    Convex arcs grow by the allowance, hollow ones shrink by it, lines stay parallel; corners as
    in ``corners``. Area of a fully mitred patch: A + a P + a^2 (sum of cot(angle/2) + half the
    sum of signed sweeps); own derivation, checked in tests/property.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from geometry.clip import is_simple_polygon
from geometry.errors import AllowanceError, GeometryError
from geometry.intersect import meet
from geometry.measure import corner_turns
from geometry.model.outline import Outline, Vertex
from geometry.model.points import distance
from geometry.model.segments import Arc, Segment
from geometry.offset.corners import CornerResult, Corners, Treated, corner_vertices, treat
from geometry.offset.raw import MovedEdge, all_widths, move_edges
from geometry.tolerance import SAME_POINT, SHORTEST_EDGE, SMOOTH_TURN
from geometry.validate import require_simple

__all__ = ["CornerResult", "Corners", "Patch", "make_patch"]

_NO_EDGES: Mapping[int, float] = {}
_NO_CORNERS: Mapping[int, Corners] = {}
_USUAL = Corners()
#: Cosine of half a turn below which a corner counts as a cusp.
_NEVER = 1.0e-4
#: Halvings when the largest workable allowance is sought: to a millionth of what was asked.
_HALVINGS = 24


@dataclass(frozen=True)
class Patch:
    """A template's patch, what was done at each of its convex corners, and what to warn of."""

    outline: Outline
    corners: tuple[CornerResult, ...]
    warnings: tuple[str, ...]


class _Lost(Exception):  # noqa: N818 - a signal within this module, never seen outside
    """An edge vanishes or the patch would meet itself; the text says which."""


def make_patch(
    template: Outline,
    allowance: float,
    *,
    edges: Mapping[int, float] = _NO_EDGES,
    corners: Corners = _USUAL,
    corner_overrides: Mapping[int, Corners] = _NO_CORNERS,
) -> Patch:
    """Return the patch of a simple, counter-clockwise template.

    Shape:
        Counter-clockwise, simple, no more vertices than its lines and arcs need.

    Units:
        mm.

    Args:
        template: the finished outline.
        allowance: seam allowance, at least 0.
        edges: allowances of single edges by index, where they differ.
        corners: treatment of convex corners.
        corner_overrides: treatments of single corners by vertex index.

    Raises:
        AllowanceError: when a hollow arc or an edge vanishes or the patch would meet itself;
            ``largest`` is the largest (usual) allowance that works with everything else in
            proportion.
    """
    widths = all_widths(template, allowance, edges)
    if min(widths) < 0.0:
        raise AllowanceError("A seam allowance is 0 or more.", largest=None)
    try:
        return _patch(template, widths, corners, corner_overrides)
    except _Lost as lost:
        share = _largest_share(template, widths, corners, corner_overrides)
        # Rounded down, so that what is told works when it is asked for.
        largest = math.floor(max(widths) * share * 1000.0) / 1000.0
        detail = (
            f"{lost} The largest allowance that works for this outline is {largest:.3f} mm."
            if largest
            else f"{lost} No allowance works for this outline."
        )
        raise AllowanceError(detail, largest=largest or None) from None


def _largest_share(
    template: Outline,
    widths: tuple[float, ...],
    corners: Corners,
    overrides: Mapping[int, Corners],
) -> float:
    """Return the largest share of the asked widths that works, rounded down."""
    works, fails = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (works + fails) / 2.0
        try:
            _patch(template, tuple(width * middle for width in widths), corners, overrides)
            works = middle
        except _Lost:
            fails = middle
    return works


def _patch(
    template: Outline,
    widths: tuple[float, ...],
    corners: Corners,
    overrides: Mapping[int, Corners],
) -> Patch:
    moved = move_edges(template, widths)
    for index, edge in enumerate(moved):
        if edge.segment is None or edge.turned_inside_out:
            raise _Lost(
                f"Edge {index} is a hollow arc of radius {_radius(edge):.4g} mm and an allowance "
                f"of {edge.width:.4g} mm uses it up."
            )
    turns = corner_turns(template)
    ways: list[Treated | None] = []
    results: list[CornerResult] = []
    warnings: list[str] = []
    for index, turn in enumerate(turns):
        way = _way(template, moved, index, turn, overrides.get(index, corners))
        ways.append(way)
        if way is None or way.treatment == "step":
            continue
        asked = overrides.get(index, corners)
        results.append(CornerResult(index, way.treatment, way.tail))
        if way.treatment != asked.kind:
            warnings.append(_changed(index, turn, way, max(widths), asked))
    outline = _joined(moved, ways, turns)
    bends_in = any(turn < -SMOOTH_TURN for turn in turns) or _has_hollow(template)
    # Where all corners bend out nothing can meet; of straight edges the polygon library knows
    # at once; only the rest is looked at edge by edge, and faults are always told that way.
    if bends_in and (outline.has_arcs or not is_simple_polygon(outline)):
        try:
            outline = require_simple(outline)
        except GeometryError as error:
            raise _Lost(f"The patch would meet itself: {error.message}") from None
    return Patch(outline, tuple(results), tuple(warnings))


def _radius(edge: MovedEdge) -> float:
    return edge.source.radius if isinstance(edge.source, Arc) else math.inf


def _has_hollow(outline: Outline) -> bool:
    return any(vertex.bulge < 0.0 for vertex in outline.vertices)


def _changed(index: int, turn: float, way: Treated, widest: float, corners: Corners) -> str:
    half = math.cos(turn / 2.0)
    if corners.kind != "mitre":
        why = "the two edges have different allowances"
    elif half < _NEVER:
        why = "its edges never meet"
    else:
        why = (
            f"a mitre would reach {widest / half:.2f} mm beyond the template's corner, more than "
            f"{corners.limit:g} times the allowance"
        )
    angle = math.degrees(math.pi - turn)
    return f"corner {index} ({angle:.4g} degrees) is cut {way.treatment}: {why}."


def _way(
    template: Outline, moved: list[MovedEdge], index: int, turn: float, corners: Corners
) -> Treated | None:
    """Return the way round one vertex, ``None`` when its edges simply go on or cross."""
    before, after = moved[index - 1], moved[index]
    if abs(turn) <= SMOOTH_TURN:
        if before.width == after.width:
            return None
        # A smooth joint between two allowances: a step square to the edge.
        assert before.segment is not None  # noqa: S101 - checked by the caller
        assert after.segment is not None  # noqa: S101 - checked by the caller
        return Treated("step", before.segment.end, after.segment.start, 0.0, 0.0)
    if turn < 0.0:
        return None
    at = template.vertices[index].point
    widths = (before.width, after.width)
    if widths == (0.0, 0.0):
        return None
    headings = template.segments[index - 1].end_heading, template.segments[index].start_heading
    return treat(at, *headings, widths, corners)


def _joined(
    moved: list[MovedEdge],
    ways: list[Treated | None],
    turns: tuple[float, ...],
) -> Outline:
    """Join the moved edges: treated corners as they are, others where the edges cross."""
    count = len(moved)
    first_share, last_share = [0.0] * count, [1.0] * count
    for index in range(count):
        crosses = ways[index] is None and abs(turns[index]) > SMOOTH_TURN
        if crosses and moved[index - 1].width + moved[index].width > 0.0:
            last_share[index - 1], first_share[index] = _crossing(moved, index)
    vertices: list[Vertex] = []
    for index, edge in enumerate(moved):
        part = edge.segment
        assert part is not None  # noqa: S101 - checked by the caller
        if first_share[index] >= last_share[index]:
            raise _Lost(f"Edge {index} vanishes between its neighbours.")
        part = part.between(first_share[index], last_share[index])
        way = ways[index]
        following = ways[(index + 1) % count]
        if not part.bulge:
            _require_progress(index, part, way, following)
        elif any(_cut_back(each, part) for each in (way, following)):
            raise _Lost(f"Edge {index} is an arc that a neighbour's wider allowance cuts into.")
        if way is not None:
            vertices.extend(corner_vertices(way))
        if way is None or part.bulge:
            # After a treated corner a straight edge starts at that corner's last vertex.
            vertices.append(Vertex(part.start.x, part.start.y, part.bulge))
        if following is not None and part.bulge:
            # The arc runs on along its end tangent.
            vertices.append(Vertex(part.end.x, part.end.y))
    return _without_doubles(vertices)


def _require_progress(
    index: int, part: Segment, way: Treated | None, following: Treated | None
) -> None:
    """Refuse a straight edge that its treated corners leave no length or turn round."""
    start = part.start if way is None else corner_vertices(way)[-1].point
    end = part.end if following is None else following.tip
    direction = part.start_heading
    ahead = (end.x - start.x) * math.cos(direction) + (end.y - start.y) * math.sin(direction)
    if ahead <= SHORTEST_EDGE:
        raise _Lost(f"Edge {index} vanishes between its neighbours.")


def _cut_back(way: Treated | None, arc: Segment) -> bool:
    """Tell whether a mitre's tip lies behind the end of the arc that should run on to it."""
    if way is None or way.cap is not None:
        return False
    at_start = distance(way.tip, arc.start) < distance(way.tip, arc.end)
    end, direction = (
        (arc.start, arc.start_heading + math.pi) if at_start else (arc.end, arc.end_heading)
    )
    ahead = (way.tip.x - end.x) * math.cos(direction) + (way.tip.y - end.y) * math.sin(direction)
    return ahead < -SAME_POINT


def _crossing(moved: list[MovedEdge], index: int) -> tuple[float, float]:
    """Return the shares at which the edges on both sides of a vertex cross."""
    before, after = moved[index - 1].segment, moved[index].segment
    assert before is not None  # noqa: S101 - checked by the caller
    assert after is not None  # noqa: S101 - checked by the caller
    found = meet(before, after)
    if not found.crossings or found.overlap:
        raise _Lost(f"The edges at corner {index} no longer meet.")
    # Of two crossings the one nearer the corner keeps more of both edges.
    best = max(found.crossings, key=lambda crossing: crossing.first - crossing.second)
    return best.first, best.second


def _without_doubles(vertices: list[Vertex]) -> Outline:
    """Drop vertices that repeat the next one, as where an arc is not prolonged at all."""
    kept = [
        vertex
        for vertex, following in zip(vertices, vertices[1:] + vertices[:1], strict=True)
        if distance(vertex.point, following.point) > SAME_POINT
    ]
    ring = Outline(tuple(kept))
    for index in range(len(kept)):
        if not kept[index - 1].bulge:
            return ring if index == 0 else ring.started_at(index)
    return ring
