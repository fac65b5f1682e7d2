"""Whether pages together show all of a stroke, of which each shows a window of the bed."""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from typing import TypeAlias

from adapters.readers.strokes import ReadSegment, ReadStroke
from geometry.model.points import Point

#: Left, bottom, right and top of what a page shows, mm.
Window: TypeAlias = tuple[float, float, float, float]
#: Points this far outside a window, mm, are rounding.
_ROUNDING = 1.0e-3
#: A middle this near to the chord, mm, is that of a line.
_STRAIGHT = 1.0e-4


def is_shown(stroke: ReadStroke, windows: Sequence[Window]) -> bool:
    """Return whether every point of a stroke lies in some window."""
    starts = [stroke.start, *(move.end for move in stroke.segments[:-1])]
    if _is_in_one(stroke, starts, windows):
        return True
    return all(
        any(_holds(window, place) for window in windows)
        for start, move in zip(starts, stroke.segments, strict=True)
        for place in _between_edges(start, move, windows)
    )


def _is_in_one(stroke: ReadStroke, starts: Sequence[Point], windows: Sequence[Window]) -> bool:
    """Return whether a box around all of a stroke lies in one window; no is not certain."""
    # An arc leaves the lines through its middle by less than its middle leaves the chord.
    beyond = 0.0
    x, y = [stroke.start.x], [stroke.start.y]
    for start, move in zip(starts, stroke.segments, strict=True):
        beyond = max(beyond, abs(_bend(start, move)))
        x += (move.middle.x, move.end.x)
        y += (move.middle.y, move.end.y)
    beyond = beyond if beyond > _STRAIGHT else 0.0
    low, high = Point(min(x) - beyond, min(y) - beyond), Point(max(x) + beyond, max(y) + beyond)
    return any(_holds(window, low) and _holds(window, high) for window in windows)


def _bend(start: Point, move: ReadSegment) -> complex:
    """Return the way from the middle of the chord to that of the segment."""
    return complex(
        move.middle.x - (start.x + move.end.x) / 2.0, move.middle.y - (start.y + move.end.y) / 2.0
    )


def _holds(window: Window, place: Point) -> bool:
    left, bottom, right, top = window
    return (
        left - _ROUNDING <= place.x <= right + _ROUNDING
        and bottom - _ROUNDING <= place.y <= top + _ROUNDING
    )


def _between_edges(start: Point, move: ReadSegment, windows: Sequence[Window]) -> Iterator[Point]:
    """Yield a point of each part into which the edges of the windows, prolonged, cut a segment.

    No part crosses an edge, so a window that holds the point holds the part.
    """
    across = {edge for left, _, right, _ in windows for edge in (left, right)}
    up = {edge for _, bottom, _, top in windows for edge in (bottom, top)}
    if abs(_bend(start, move)) <= _STRAIGHT:
        place, cuts = _line(start, move.end, across, up)
    else:
        place, cuts = _arc(start, move, across, up)
    shares = sorted({0.0, 1.0, *(share for share in cuts if 0.0 < share < 1.0)})
    for first, last in itertools.pairwise(shares):
        found = place((first + last) / 2.0)
        yield Point(found.real, found.imag)


def _line(
    start: Point, end: Point, across: set[float], up: set[float]
) -> tuple[Callable[[float], complex], list[float]]:
    """Return a line's point at a share of it, and the shares where it crosses edges."""
    dx, dy = end.x - start.x, end.y - start.y
    cuts = [(edge - start.x) / dx for edge in across if dx]
    cuts += [(edge - start.y) / dy for edge in up if dy]
    return lambda share: complex(start.x + share * dx, start.y + share * dy), cuts


def _arc(
    start: Point, move: ReadSegment, across: set[float], up: set[float]
) -> tuple[Callable[[float], complex], list[float]]:
    """Return an arc's point at a share of it, and the shares where it crosses edges."""
    first, middle = complex(*start), complex(*move.middle)
    half, end = middle - first, complex(*move.end) - first
    # The circle through three points: its centre is as far from the second and the third as from
    # the first.
    double = 2.0 * (half.conjugate() * end).imag
    centre = first + 1j * (half * abs(end) ** 2 - end * abs(half) ** 2) / double
    arm, radius = first - centre, abs(first - centre)
    sweep = 2.0 * cmath.phase((middle - centre) / arm)
    angles = [
        sign * math.acos((edge - centre.real) / radius)
        for edge in across
        for sign in (-1.0, 1.0)
        if abs(edge - centre.real) < radius
    ]
    angles += [
        math.pi / 2.0 + sign * math.acos((edge - centre.imag) / radius)
        for edge in up
        for sign in (-1.0, 1.0)
        if abs(edge - centre.imag) < radius
    ]
    way = math.copysign(1.0, sweep)
    cuts = [way * (angle - cmath.phase(arm)) % math.tau / abs(sweep) for angle in angles]
    return lambda share: centre + arm * cmath.exp(1j * sweep * share), cuts
