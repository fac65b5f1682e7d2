"""Exact straight and circular segments, in the bulge form of DXF.

An arc is stored as its two ends and the signed tangent of a quarter of its sweep. That form is
closed under rotation, reversal, mirroring and scaling without any loss, joins segments by sharing
end points exactly, and covers nearly straight arcs without a far-away centre.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple, TypeAlias

from geometry.model.points import Point, ahead, distance, heading


class Bounds(NamedTuple):
    """An axis-parallel box, mm."""

    left: float
    bottom: float
    right: float
    top: float

    @classmethod
    def around(cls, boxes: Iterable[Bounds]) -> Bounds:
        """Return the box around boxes, of which there is at least one."""
        left, bottom, right, top = zip(*boxes, strict=True)
        return cls(min(left), min(bottom), max(right), max(top))

    @property
    def width(self) -> float:
        """Return the extent along x, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Return the extent along y, mm."""
        return self.top - self.bottom


class Line(NamedTuple):
    """A straight segment from ``start`` to ``end``."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        """Return the length, mm."""
        return distance(self.start, self.end)

    @property
    def bulge(self) -> float:
        """Return zero, the bulge of a line."""
        return 0.0

    @property
    def start_heading(self) -> float:
        """Return the direction at the start, rad."""
        return heading(self.start, self.end)

    @property
    def end_heading(self) -> float:
        """Return the direction at the end, rad."""
        return heading(self.start, self.end)

    def point_at(self, share: float) -> Point:
        """Return the point at ``share`` (0 to 1) of the length."""
        return Point(
            self.start.x + share * (self.end.x - self.start.x),
            self.start.y + share * (self.end.y - self.start.y),
        )

    def heading_at(self, share: float) -> float:  # noqa: ARG002 - same call as an arc's
        """Return the direction at ``share`` of the length, rad."""
        return self.start_heading

    def between(self, first: float, last: float) -> Line:
        """Return the part from share ``first`` to share ``last``; ends 0 and 1 are exact."""
        return Line(
            self.start if first == 0.0 else self.point_at(first),
            self.end if last == 1.0 else self.point_at(last),
        )

    def reversed(self) -> Line:
        """Return the segment in the opposite direction."""
        return Line(self.end, self.start)

    def bounds(self) -> Bounds:
        """Return the bounding box."""
        (ax, ay), (bx, by) = self
        # In a third of the time that calls of ``min``, ``max`` and ``Bounds`` take.
        left, right = (ax, bx) if ax <= bx else (bx, ax)
        bottom, top = (ay, by) if ay <= by else (by, ay)
        return tuple.__new__(Bounds, (left, bottom, right, top))


class ArcCircle(NamedTuple):
    """An arc's circle, and which part of it the arc is.

    Units:
        ``radius`` in mm; the signed ``sweep``, and ``begin``, the direction from the centre to
        the arc's start, in rad.
    """

    centre: Point
    radius: float
    sweep: float
    begin: float


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular segment of less than a full turn.

    Units:
        ``bulge`` = tan(sweep / 4), positive counter-clockwise, never zero. Outlines keep
        ``|bulge| <= 1`` (half a circle at most).
    """

    start: Point
    end: Point
    bulge: float
    # Kept once it was asked for: distances between outlines ask for it again and again.
    _circle: ArcCircle | None = field(default=None, init=False, repr=False, compare=False)

    @property
    def sweep(self) -> float:
        """Return the signed sweep, rad, positive counter-clockwise."""
        return (self._circle or self._measured()).sweep

    @property
    def radius(self) -> float:
        """Return the radius, mm."""
        return (self._circle or self._measured()).radius

    @property
    def centre(self) -> Point:
        """Return the centre of the circle."""
        return (self._circle or self._measured()).centre

    @property
    def circle(self) -> ArcCircle:
        """Return the circle, and which part of it the arc is."""
        return self._circle or self._measured()

    def _measured(self) -> ArcCircle:
        """Return the circle, and keep it."""
        # The centre lies on the chord's bisector, to the left of a counter-clockwise arc of
        # less than half a turn.
        start, end, bulge = self.start, self.end, self.bulge
        off = (1.0 - bulge**2) / (4.0 * bulge)
        dx, dy = end.x - start.x, end.y - start.y
        centre = Point((start.x + end.x) / 2.0 - off * dy, (start.y + end.y) / 2.0 + off * dx)
        radius = distance(start, end) * (1.0 + bulge**2) / (4.0 * abs(bulge))
        found = ArcCircle(centre, radius, 4.0 * math.atan(bulge), heading(centre, start))
        # The arc is frozen; what is kept follows from its fields.
        object.__setattr__(self, "_circle", found)
        return found

    @property
    def length(self) -> float:
        """Return the length along the arc, mm."""
        half = 2.0 * math.atan(abs(self.bulge))
        chord = distance(self.start, self.end)
        return chord * half / math.sin(half)

    @property
    def start_heading(self) -> float:
        """Return the direction at the start, rad."""
        return heading(self.start, self.end) - 2.0 * math.atan(self.bulge)

    @property
    def end_heading(self) -> float:
        """Return the direction at the end, rad."""
        return heading(self.start, self.end) + 2.0 * math.atan(self.bulge)

    def point_at(self, share: float) -> Point:
        """Return the point at ``share`` (0 to 1) of the length."""
        # Calculated from chord to chord instead of from the centre, to avoid cancellation when the
        # radius is far larger than the chord.
        half = 2.0 * math.atan(self.bulge)
        length = distance(self.start, self.end) * math.sin(share * half) / math.sin(half)
        return ahead(self.start, self.start_heading + share * half, length)

    def heading_at(self, share: float) -> float:
        """Return the direction at ``share`` of the length, rad."""
        return self.start_heading + share * self.sweep

    def between(self, first: float, last: float) -> Arc:
        """Return the part from share ``first`` to share ``last``; ends 0 and 1 are exact."""
        return Arc(
            self.start if first == 0.0 else self.point_at(first),
            self.end if last == 1.0 else self.point_at(last),
            math.tan((last - first) * math.atan(self.bulge)),
        )

    def reversed(self) -> Arc:
        """Return the segment in the opposite direction."""
        return Arc(self.end, self.start, -self.bulge)

    def bounds(self) -> Bounds:
        """Return the bounding box, including the arc's extremes."""
        left, right = sorted((self.start.x, self.end.x))
        bottom, top = sorted((self.start.y, self.end.y))
        centre, radius, sweep, begin = self.circle
        for quarter, (ux, uy) in enumerate(((1, 0), (0, 1), (-1, 0), (0, -1))):
            # The turn from the start to this direction, in the arc's direction.
            turn = (quarter * math.pi / 2.0 - begin) % math.tau
            if sweep < 0.0:
                turn -= math.tau
            if abs(turn) < abs(sweep):
                left, right = min(left, centre.x + radius * ux), max(right, centre.x + radius * ux)
                bottom, top = min(bottom, centre.y + radius * uy), max(top, centre.y + radius * uy)
        return Bounds(left, bottom, right, top)


Segment: TypeAlias = Line | Arc


def segment(start: Point, end: Point, bulge: float) -> Segment:
    """Return the line (``bulge`` zero) or arc between two points."""
    return Arc(start, end, bulge) if bulge else Line(start, end)
