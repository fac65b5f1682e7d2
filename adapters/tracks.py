"""Planned segments with what is needed to measure distances to them often."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from geometry.model.outline import Vertex
from geometry.model.points import Point, distance


class Track(NamedTuple):
    """A planned segment with precomputed values; ``radius`` is 0 for a line.

    ``toward`` is the direction from the centre to the middle of an arc, ``cos_half`` the cosine
    of half its sweep: together they define its sector.
    """

    start: Point
    end: Point
    dx: float
    dy: float
    length: float
    centre: Point
    radius: float
    toward: Point
    cos_half: float

    def off(self, place: Point) -> float:
        """Return the distance from a point to the segment, mm."""
        if self.radius:
            x, y = place.x - self.centre.x, place.y - self.centre.y
            out = math.hypot(x, y)
            if x * self.toward.x + y * self.toward.y < out * self.cos_half:
                return min(distance(place, self.start), distance(place, self.end))
            return abs(out - self.radius)
        x, y = place.x - self.start.x, place.y - self.start.y
        along = (x * self.dx + y * self.dy) / self.length
        if along < 0.0 or along > self.length:
            return min(distance(place, self.start), distance(place, self.end))
        return abs(x * self.dy - y * self.dx) / self.length

    def all_off(self, places: NDArray[np.complex128]) -> NDArray[np.float64]:
        """Return the distances from points to the segment, mm."""
        start, end = complex(*self.start), complex(*self.end)
        if self.radius:
            arms, toward = places - complex(*self.centre), complex(*self.toward)
            out = np.abs(arms)
            beside = np.abs(out - self.radius)
            within = (arms * toward.conjugate()).real >= out * self.cos_half
        else:
            ways = (places - start) * complex(self.dx, -self.dy) / self.length
            beside = np.abs(ways.imag)
            within = (ways.real >= 0.0) & (ways.real <= self.length)
        if within.all():
            return beside
        return np.where(within, beside, np.minimum(np.abs(places - start), np.abs(places - end)))


def track_of(a: Vertex, b: Vertex) -> Track:
    """Return the segment between two vertices."""
    dx, dy = b.x - a.x, b.y - a.y
    length = math.hypot(dx, dy)
    start, end = Point(a.x, a.y), Point(b.x, b.y)
    if not a.bulge:
        return Track(start, end, dx, dy, length, start, 0.0, start, 0.0)
    out = (1.0 - a.bulge**2) / (4.0 * a.bulge)
    centre = Point((a.x + b.x) / 2.0 - out * dy, (a.y + b.y) / 2.0 + out * dx)
    radius = length * (1.0 + a.bulge**2) / (4.0 * abs(a.bulge))
    # An arc of a positive bulge lies to the right of its chord.
    hand = math.copysign(1.0, a.bulge) / length
    toward = Point(hand * dy, -hand * dx)
    cos_half = (1.0 - a.bulge**2) / (1.0 + a.bulge**2)
    return Track(start, end, dx, dy, length, centre, radius, toward, cos_half)
