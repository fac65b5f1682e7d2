"""Joins stretches end to end into rings."""

from __future__ import annotations

import math
from collections.abc import Sequence

from geometry.errors import InternalError
from geometry.model.merging import merge_neighbours
from geometry.model.outline import Outline, Vertex
from geometry.model.points import Point, distance, turn_between
from geometry.model.segments import Arc, Segment
from geometry.tolerance import SMOOTH_TURN

#: Ends closer than this, mm, are equal: a common crossing of three edges is computed three times.
_ONE_PLACE = 2.0e-5


def stitched(stretches: Sequence[Segment]) -> list[Outline]:
    """Return the closed rings formed by stretches.

    Shape:
        Each stretch is used once. If several start at one point, the leftmost one is taken, so that
        touching rings stay separate. Adjacent segments of one line or circle are merged.

    Raises:
        InternalError: when a stretch has no successor.
    """
    starts: dict[tuple[int, int], list[int]] = {}
    for index, part in enumerate(stretches):
        for cell in _cells(part.start):
            starts.setdefault(cell, []).append(index)
    left = dict.fromkeys(range(len(stretches)))
    rings: list[Outline] = []
    while left:
        first = next(iter(left))
        run = [first]
        del left[first]
        while True:
            part = stretches[run[-1]]
            following = _following(part, stretches, starts, left)
            if following is None:
                if distance(part.end, stretches[first].start) > _ONE_PLACE:
                    raise InternalError("a stretch of an offset has no successor")
                break
            run.append(following)
            del left[following]
            if distance(stretches[following].end, stretches[first].start) <= _ONE_PLACE and (
                _following(stretches[following], stretches, starts, left) is None
            ):
                break
        rings.append(_ring([stretches[index] for index in run]))
    return rings


def _cells(point: Point) -> set[tuple[int, int]]:
    """Return the cells near a point."""
    size = 2.0 * _ONE_PLACE
    return {
        (math.floor((point.x + dx) / size), math.floor((point.y + dy) / size))
        for dx in (-_ONE_PLACE, _ONE_PLACE)
        for dy in (-_ONE_PLACE, _ONE_PLACE)
    }


def _following(
    part: Segment,
    stretches: Sequence[Segment],
    starts: dict[tuple[int, int], list[int]],
    left: dict[int, None],
) -> int | None:
    candidates = {
        index
        for cell in _cells(part.end)
        for index in starts.get(cell, ())
        if index in left and distance(stretches[index].start, part.end) <= _ONE_PLACE
    }
    return max(
        candidates,
        key=lambda index: (
            round(turn_between(part.end_heading, stretches[index].start_heading), 9),
            -index,
        ),
        default=None,
    )


def _ring(parts: list[Segment]) -> Outline:
    merged = merge_neighbours(parts, _as_one)
    if len(merged) > 2:  # noqa: PLR2004 - a ring of two stays two
        joined = _as_one(merged[-1], merged[0])
        if joined is not None:
            merged = [joined, *merged[1:-1]]
    return Outline(tuple(Vertex(part.start.x, part.start.y, part.bulge) for part in merged))


def _as_one(first: Segment, second: Segment) -> Segment | None:
    """Return two neighbours as one segment if they are on one line or circle."""
    if isinstance(first, Arc) != isinstance(second, Arc):
        return None
    if abs(turn_between(first.end_heading, second.start_heading)) > SMOOTH_TURN:
        return None
    if isinstance(first, Arc) and isinstance(second, Arc):
        alike = (first.bulge > 0.0) == (second.bulge > 0.0) and math.isclose(
            first.radius, second.radius, rel_tol=1e-7
        )
        sweep = first.sweep + second.sweep
        if not alike or abs(sweep) > math.pi + 1e-9:
            return None
        return Arc(first.start, second.end, math.tan(sweep / 4.0))
    return type(first)(first.start, second.end)  # type: ignore[call-arg]
