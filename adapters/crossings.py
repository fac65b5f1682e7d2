"""Ways of the raised tool, between cuts, over what a bed keeps free or past its opening."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from adapters.split import chords
from geometry.model.outline import Outline
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.sentences import said

#: Chord height of rings, mm.
_CHORD = 0.05
#: How deep a way may run within a border, mm: pieces lie along it, and its chords are not exact.
_GRAZE = 0.1


def first_crossing(plan: CutPlan) -> tuple[int, bool] | None:
    """Return after how many strokes a way between two of them first crosses what it should not.

    The second member says whether it crosses a place that the bed keeps free; if not, it leaves the
    opening, which is hollow somewhere. ``None`` if no way does either.

    Args:
        plan: in the axes of the bed.
    """
    area = plan.work_area
    kept = [(each.bounds, ring_of(each)) for each in area.keep_outs]
    opening = [] if area.open_right else ring_of(area.boundary)
    if not kept and _is_convex(opening):
        return None
    for number, (before, after) in enumerate(pairwise(plan.strokes), start=1):
        way = end_of(before), after.vertices[0].point
        for box, ring in kept:
            if _may_meet(box, way) and _runs(way, ring, is_inside=True):
                return number, True
        if opening and not _is_convex(opening) and _runs(way, opening, is_inside=False):
            return number, False
    return None


def crossing_notice(plan: CutPlan, *, lift: str = "") -> tuple[str, ...]:
    """Return a sentence for the operator if a way between cuts crosses what it should not.

    Args:
        plan: in the axes of the bed.
        lift: the height at which the tool travels, with its unit, where the file states one.
    """
    found = first_crossing(plan)
    if found is None:
        return ()
    number, is_kept = found
    if is_kept:
        over = said(
            "Between cuts the raised tool crosses a place that the bed keeps free, first after "
            "stroke {n} of the file.",
            n=number,
        )
    else:
        over = said(
            "Between cuts the raised tool crosses the frame of the opening, first after stroke "
            "{n} of the file.",
            n=number,
        )
    if lift:
        cure = said(
            "Make sure that it passes above what is there (it travels at {lift}).", lift=lift
        )
    else:
        cure = said("Make sure that it passes above what is there.")
    return (f"{over} {cure}",)


def end_of(stroke: Stroke) -> Point:
    """Return where a stroke ends."""
    return stroke.vertices[0 if stroke.closed else -1].point


def ring_of(outline: Outline) -> list[Point]:
    """Return an outline as points."""
    return list(chords(Stroke("cut", outline.vertices, closed=True), _CHORD))


def _is_convex(ring: Sequence[Point]) -> bool:
    turns = [
        (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x)
        for a, b, c in zip(ring, (*ring[1:], *ring[:1]), (*ring[2:], *ring[:2]), strict=True)
    ]
    return min(turns, default=0.0) >= -_GRAZE * _CHORD or max(turns) <= _GRAZE * _CHORD


def _may_meet(box: Bounds, way: tuple[Point, Point]) -> bool:
    start, end = way
    beside = max(start.x, end.x) <= box.left or min(start.x, end.x) >= box.right
    return not beside and max(start.y, end.y) > box.bottom and min(start.y, end.y) < box.top


def _runs(way: tuple[Point, Point], ring: Sequence[Point], *, is_inside: bool) -> bool:
    """Return whether some part of a way runs inside a ring, or outside it."""
    start, end = way
    length = math.hypot(end.x - start.x, end.y - start.y)
    if length <= _GRAZE:
        return False
    along = Point((end.x - start.x) / length, (end.y - start.y) / length)
    shares = sorted({0.0, 1.0, *_met(start, end, ring)})
    for first, last in pairwise(shares):
        if (last - first) * length <= _GRAZE:
            continue
        at = (first + last) / 2.0
        middle = Point(start.x + (end.x - start.x) * at, start.y + (end.y - start.y) * at)
        # On both sides, so that a way along a border is on neither.
        sides = (
            Point(middle.x - side * along.y, middle.y + side * along.x)
            for side in (-_GRAZE, _GRAZE)
        )
        if all(is_within(ring, each) == is_inside for each in sides):
            return True
    return False


def _met(start: Point, end: Point, ring: Sequence[Point]) -> Iterator[float]:
    """Yield the shares of a way at which it meets a ring."""
    dx, dy = end.x - start.x, end.y - start.y
    for a, b in pairwise([*ring, ring[0]]):
        ex, ey = b.x - a.x, b.y - a.y
        across = dx * ey - dy * ex
        if not across:
            continue
        share = ((a.x - start.x) * ey - (a.y - start.y) * ex) / across
        other = ((a.x - start.x) * dy - (a.y - start.y) * dx) / across
        if 0.0 < share < 1.0 and 0.0 <= other <= 1.0:
            yield share


def is_within(ring: Sequence[Point], place: Point) -> bool:
    """Return whether a place is within a ring, by the sides that a ray to the right meets."""
    crossed = 0
    for a, b in pairwise([*ring, ring[0]]):
        if (a.y > place.y) != (b.y > place.y):
            share = (place.y - a.y) / (b.y - a.y)
            crossed += a.x + share * (b.x - a.x) > place.x
    return crossed % 2 == 1
