"""Validates outlines: finite, simple, with an area.

Touching itself counts as crossing, because a blade that returns to its own line splits the piece.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from geometry.errors import GeometryError, GeometryFaults, InvalidOutlineError, NonFiniteError
from geometry.intersect import close_pairs, meet
from geometry.measure import area, corner_turns
from geometry.model.outline import Outline
from geometry.model.points import distance
from geometry.model.segments import Arc, Segment
from geometry.tolerance import LARGEST_COORDINATE, SAME_POINT, SHORTEST_EDGE

#: Maximum segments of an outline.
MAX_SEGMENTS = 5_000
#: Maximum number of errors in one report.
_MAX_TOLD = 20
#: Above this many edges, pairs are compared in arrays.
_MANY = 300
#: A corner that turns back to within this, rad, is a spike, except next to arcs.
_SPIKE = 1.0e-6
#: Minimum area, mm2: a square with sides of a hundredth of a millimetre.
_MIN_AREA = 1.0e-4


def require_simple(outline: Outline) -> Outline:
    """Return the outline in counter-clockwise direction if it can be cut.

    Shape:
        A clockwise ring is reversed; its first vertex stays first.

    Raises:
        NonFiniteError: for a coordinate or bulge that is not finite.
        InvalidOutlineError: for a single error; ``where`` is ``(index,)`` of the vertex.
        GeometryFaults: for several errors.
    """
    faults: list[GeometryError] = _vertex_faults(outline)
    if not faults:
        faults = _ring_faults(outline)
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise GeometryFaults(tuple(faults[:_MAX_TOLD]))
    return outline if area(outline) > 0.0 else outline.reversed()


def _vertex_faults(outline: Outline) -> list[GeometryError]:
    vertices = outline.vertices
    faults: list[GeometryError] = []
    if len(vertices) > MAX_SEGMENTS:
        return [InvalidOutlineError(f"An outline has at most {MAX_SEGMENTS} segments.")]
    if len(vertices) < 3 and not outline.has_arcs:  # noqa: PLR2004 - a triangle is the least
        return [InvalidOutlineError("A straight-sided outline needs at least three points.")]
    if len(vertices) < 2:  # noqa: PLR2004 - two arcs close a lens or a circle
        return [InvalidOutlineError("An outline needs at least two points.")]
    for index, vertex in enumerate(vertices):
        if not all(map(math.isfinite, vertex)):
            faults.append(NonFiniteError("This point is not finite.", where=(index,)))
        elif max(abs(vertex.x), abs(vertex.y)) > LARGEST_COORDINATE:
            detail = (
                f"This point is more than {LARGEST_COORDINATE / 1000:g} m away; check the unit."
            )
            faults.append(InvalidOutlineError(detail, where=(index,)))
        elif abs(vertex.bulge) > 1.0:
            detail = "A bulge is from -1 to 1 (half a circle); split a longer arc in two."
            faults.append(InvalidOutlineError(detail, where=(index, 2)))
    if faults:
        return faults
    for index, vertex in enumerate(vertices):
        following = vertices[(index + 1) % len(vertices)]
        if distance(vertex.point, following.point) < SHORTEST_EDGE:
            detail = (
                f"This point and the next are less than {SHORTEST_EDGE:g} mm apart; "
                "leave one out (the first point is not repeated at the end)."
            )
            faults.append(InvalidOutlineError(detail, where=(index,)))
    return faults


def _ring_faults(outline: Outline) -> list[GeometryError]:
    faults: list[GeometryError] = []
    for index, turn in enumerate(corner_turns(outline)):
        # A cusp between diverging arcs is valid (the clamshell's tail); a line that goes back over
        # itself is not.
        if abs(turn) > math.pi - _SPIKE and not _opens(outline, index):
            detail = "The outline turns back on itself here (a spike without width)."
            faults.append(InvalidOutlineError(detail, where=(index,)))
    count = len(outline.segments)
    for first, second in _near_pairs(outline.segments):
        fault = _pair_fault(outline, first, second, count)
        if fault is not None:
            faults.append(fault)
            if len(faults) >= _MAX_TOLD:
                return faults
    if not faults and abs(area(outline)) < _MIN_AREA:
        faults.append(InvalidOutlineError("The outline encloses no area."))
    return faults


def _near_pairs(segments: Sequence[Segment]) -> Iterator[tuple[int, int]]:
    """Yield pairs of edges that may meet."""
    if len(segments) <= _MANY:
        yield from close_pairs(segments, SAME_POINT)
        return
    # In arrays: the boxes of thousands of slanting edges may all overlap.
    from geometry.segment_pairs import Segments  # noqa: PLC0415 - small outlines never need it

    table = Segments([[part] for part in segments])
    for one, other in table.near_pairs(SAME_POINT):
        yield from zip(one.tolist(), other.tolist(), strict=True)


def _opens(outline: Outline, index: int) -> bool:
    """Return whether the two edges at a cusp diverge."""
    before, after = outline.segments[index - 1], outline.segments[index]
    bent_before = before.bulge if isinstance(before, Arc) else 0.0
    bent_after = after.bulge if isinstance(after, Arc) else 0.0
    if not bent_before and not bent_after:
        return False
    curve = [
        math.copysign(1.0 / part.radius, part.bulge) if isinstance(part, Arc) else 0.0
        for part in (before, after)
    ]
    # From the cusp both edges start in the same direction; the reversed one has the opposite
    # curvature, so they coincide only if the sum of curvatures is zero.
    return abs(curve[0] + curve[1]) > SAME_POINT


def _pair_fault(outline: Outline, first: int, second: int, count: int) -> GeometryError | None:
    found = meet(outline.segments[first], outline.segments[second])
    if found.overlap:
        detail = f"Edges {first} and {second} run along each other."
        return InvalidOutlineError(detail, where=(first,))
    joints = set()
    if second == first + 1:
        joints.add((1.0, 0.0))
    if (second + 1) % count == first:
        joints.add((0.0, 1.0))
    for crossing in found.crossings:
        if (crossing.first, crossing.second) in joints:
            continue
        point = crossing.point
        detail = (
            f"Edges {first} and {second} cross or touch at ({point.x:.4g}, {point.y:.4g}) mm; "
            "an outline may not meet itself."
        )
        return InvalidOutlineError(detail, where=(first,))
    return None
