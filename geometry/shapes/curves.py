"""Fits free curves with few lines and arcs, within a tolerance, smooth where the curve is smooth.

A curve is given as a function of a parameter with its derivative. A biarc, a pair of arcs with a
common tangent, joins two of its points with their tangents. A greedy search covers the curve with
few biarcs, each as long as the tolerance allows.

Source:
    Biarcs through two points with tangents: K. M. Bolton, "Biarc curves", Computer-Aided Design 7
    (1975); the joint with equal tangent lengths. Fewest pieces by farthest reach: for a criterion
    that only gets worse with length, the greedy cover is optimal.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry.model.outline import Vertex
from geometry.model.points import Point, distance, turn_between
from geometry.model.segments import Arc, Segment, segment

#: Default chord tolerance, mm.
TOLERANCE = 0.02
#: Number of points of a stretch at which its distance is checked and pieces may end: a factor of
#: the square root of its length in tolerances (like the number of chords), with limits, and a
#: minimum for each span of a spline.
_PLACES_RATE, _MIN_PLACES, _MAX_PLACES, _PLACES_OF_SPAN = 5.0, 40, 2_000, 12
#: Number of chords for estimating a stretch's length.
_GUESS = np.linspace(0.0, 1.0, 17)
#: Distance from a sharp turn, as a share of the stretch, at which its direction is taken.
_BESIDE = 1.0e-12
#: Tolerances, rad: of a straight piece, of equal turns, and (as 1 - cos) of parallel directions.
_STRAIGHT, _ALIKE, _PARALLEL = 1.0e-7, 1.0e-9, 1.0e-12
#: Maximum turn of a biarc's arcs, rad: half circles are the limit of outlines.
_MAX_TURN = math.pi * 0.98

_Floats: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True)
class Curve:
    """A curve over the parameter 0 to 1, with its points, mm, and directions, rad.

    ``many`` gives points (as complex numbers) and directions at many parameters at once, for
    curves that can do so faster than one by one.
    """

    point: Callable[[float], Point]
    direction: Callable[[float], float]
    many: Callable[[_Floats], tuple[NDArray[np.complex128], _Floats]] | None = None

    def at(self, parameters: _Floats) -> tuple[NDArray[np.complex128], _Floats]:
        """Return points, as complex numbers, and directions at parameters."""
        if self.many is not None:
            return self.many(parameters)
        points = np.array([complex(*self.point(t)) for t in parameters.tolist()])
        return points, np.array([self.direction(t) for t in parameters.tolist()])


def bezier(controls: Sequence[Point]) -> Curve:
    """Return the Bézier curve of two, three or four control points."""
    points = [complex(*point) for point in controls]
    steps = [b - a for a, b in pairwise(points)]

    def point(t: float) -> Point:
        value = _casteljau(points, t)
        return Point(value.real, value.imag)

    def direction(t: float) -> float:
        value = _casteljau(steps, t)
        if abs(value) < _ALIKE * max(map(abs, steps)):
            # If a control point is at the end, the next difference gives the direction.
            near = _casteljau(points, min(1.0, t + 1e-4)) - _casteljau(points, max(0.0, t - 1e-4))
            value = near or complex(1.0, 0.0)
        return cmath.phase(value)

    def many(parameters: _Floats) -> tuple[NDArray[np.complex128], _Floats]:
        slopes = _casteljau(steps, parameters)
        directions = np.angle(slopes) + np.zeros(len(parameters))
        for index in np.flatnonzero(np.abs(slopes) < 2.0 * _ALIKE * max(map(abs, steps))):
            directions[index] = direction(float(parameters[index]))
        return np.asarray(_casteljau(points, parameters)), directions

    return Curve(point, direction, many)


def _casteljau(values: Sequence[Any], t: Any) -> Any:  # noqa: ANN401 - one number or many
    row = list(values)
    while len(row) > 1:
        row = [a + (b - a) * t for a, b in pairwise(row)]
    return row[0]


def ellipse_arc(centre: Point, axes: tuple[complex, complex], first: float, sweep: float) -> Curve:
    """Return an arc of an ellipse given by two conjugate half diameters.

    Units:
        the half diameters as vectors in mm; the first eccentric angle and the signed sweep in rad.
    """
    u, v = axes
    forward = 1.0 if sweep > 0.0 else -1.0

    def point(t: float) -> Point:
        angle = first + t * sweep
        value = complex(*centre) + math.cos(angle) * u + math.sin(angle) * v
        return Point(value.real, value.imag)

    def direction(t: float) -> float:
        angle = first + t * sweep
        return cmath.phase(forward * (math.cos(angle) * v - math.sin(angle) * u))

    def many(parameters: _Floats) -> tuple[NDArray[np.complex128], _Floats]:
        angles = first + parameters * sweep
        cos, sin = np.cos(angles), np.sin(angles)
        return complex(*centre) + cos * u + sin * v, np.angle(forward * (cos * v - sin * u))

    return Curve(point, direction, many)


def biarc(start: Point, before: float, end: Point, after: float) -> list[Segment]:
    """Return one or two segments from ``start`` to ``end`` with these directions.

    Shape:
        A line, an arc, or two arcs with a common tangent at their joint.
    """
    chord = complex(end.x - start.x, end.y - start.y)
    t0, t1 = cmath.rect(1.0, before), cmath.rect(1.0, after)
    lean = (turn_between(before, cmath.phase(chord)), turn_between(cmath.phase(chord), after))
    if abs(lean[0]) < _STRAIGHT and abs(lean[1]) < _STRAIGHT:
        return [segment(start, end, 0.0)]
    if abs(lean[0] - lean[1]) < _ALIKE:
        return [segment(start, end, math.tan((lean[0] + lean[1]) / 4.0))]
    both = t0 + t1
    along = (chord * both.conjugate()).real
    across = 2.0 * (1.0 - (t0 * t1.conjugate()).real)
    if across < _PARALLEL:
        reach = abs(chord) ** 2 / (4.0 * (chord * t1.conjugate()).real)
    else:
        reach = (-along + math.sqrt(along**2 + across * abs(chord) ** 2)) / across
    joint = complex(*start) + (chord + reach * (t0 - t1)) / 2.0
    middle = Point(joint.real, joint.imag)
    return [
        _tangent_arc(start, before, middle),
        _tangent_arc(end, after + math.pi, middle).reversed(),
    ]


def _tangent_arc(start: Point, direction: float, end: Point) -> Segment:
    """Return the arc (or line) from a point in a direction to another point."""
    lean = turn_between(direction, math.atan2(end.y - start.y, end.x - start.x))
    return segment(start, end, math.tan(lean / 2.0) if abs(lean) > _ALIKE else 0.0)


def fitted(
    curve: Curve, *, tolerance: float = TOLERANCE, breaks: Sequence[float] = (), spans: int = 1
) -> list[Vertex]:
    """Return the vertices of lines and arcs along a curve, without its last point.

    Args:
        curve: the curve.
        tolerance: maximum deviation of lines and arcs, mm.
        breaks: parameters of sharp turns, in order; pieces end there.
        spans: number of polynomials, for curves of several.

    Tolerance:
        Checked at 40 to 2000 points between breaks, by length; the number of arcs grows as the
        inverse cube root of the tolerance.
    """
    vertices: list[Vertex] = []
    for low, high in pairwise([0.0, *breaks, 1.0]):
        sampled = _Sampled(curve, low, high, tolerance, spans)
        at, step = 0, sampled.count
        while at < sampled.count:
            # A small reserve for the parts between these points.
            before = at
            at, parts = sampled.farthest(at, min(sampled.count, at + 2 * step), 0.96 * tolerance)
            step = at - before
            vertices.extend(Vertex(p.start.x, p.start.y, p.bulge) for p in parts)
    return vertices


class _Sampled:
    """A stretch of a curve at evenly spaced parameters; the last one has number ``count``."""

    def __init__(
        self, curve: Curve, low: float, high: float, tolerance: float, spans: int = 1
    ) -> None:
        guess, _ = curve.at(low + (high - low) * _GUESS)
        length = float(np.abs(np.diff(guess)).sum())
        wanted = max(_PLACES_RATE * math.sqrt(length / tolerance), _PLACES_OF_SPAN * spans)
        self.count = int(min(max(wanted, _MIN_PLACES), _MAX_PLACES))
        parameters = low + (high - low) * np.arange(self.count + 1) / self.count
        places, directions = curve.at(parameters)
        # At a sharp turn, use the direction on this stretch's side.
        beside = (high - low) * _BESIDE
        if low > 0.0:
            directions[0] = curve.direction(low + beside)
        if high < 1.0:
            directions[-1] = curve.direction(high - beside)
        self.array = np.stack([places.real, places.imag], axis=1)
        self.points = [Point(x, y) for x, y in self.array.tolist()]
        self.directions = directions.tolist()

    def farthest(self, low: int, guess: int, tolerance: float) -> tuple[int, list[Segment]]:
        """Return the farthest end of one piece from a point, and the piece.

        The search starts with a guess, doubles it while that works, and then bisects.
        """
        works, fails, reach = low, self.count + 1, guess
        best: list[Segment] = []
        while True:
            found = self.piece(low, reach, tolerance)
            if found is None:
                fails = reach
                break
            works, best = reach, found
            if reach == self.count:
                return reach, best
            reach = min(self.count, low + 2 * (reach - low))
        while fails - works > 1:
            middle = (works + fails) // 2
            found = self.piece(low, middle, tolerance)
            if found is None:
                fails = middle
            else:
                works, best = middle, found
        if not best:
            return low + 1, [segment(self.points[low], self.points[low + 1], 0.0)]
        return works, best

    def piece(self, low: int, high: int, tolerance: float) -> list[Segment] | None:
        """Return a piece over a stretch if it is within the tolerance."""
        start, end = self.points[low], self.points[high]
        if distance(start, end) <= 0.0:
            return None
        parts = biarc(start, self.directions[low], end, self.directions[high])
        if any(isinstance(part, Arc) and abs(part.sweep) > _MAX_TURN for part in parts):
            return None
        between = self.array[low + 1 : high]
        if len(between) == 0:
            return parts
        split = len(between)
        if len(parts) > 1:
            joint = np.array(parts[0].end)
            split = int(np.argmin(np.hypot(*(between - joint).T))) + 1
        for part, points in zip(parts, (between[:split], between[split:]), strict=False):
            if len(points) and float(_off(part, points).max()) > tolerance:
                return None
        return parts


def _off(part: Segment, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the distances of points from a segment's circle or line, mm."""
    if isinstance(part, Arc):
        off: NDArray[np.float64] = np.abs(np.hypot(*(points - part.centre).T) - part.radius)
        return off
    direction = part.start_heading
    dx, dy = (points - part.start).T
    aside: NDArray[np.float64] = np.abs(dx * math.sin(direction) - dy * math.cos(direction))
    return aside
