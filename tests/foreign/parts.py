"""What drawings of other hands hold, in mm, y up, on a page of 130 by 60 mm, and its measures.

Widths, heights and areas follow from the numbers here alone: a polygon by its corners (shoelace), a
circle by its radius.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

Point = tuple[float, float]
WIDTH, HEIGHT = 130.0, 60.0


@dataclass(frozen=True)
class Polygon:
    """A polygon by its corners."""

    corners: tuple[Point, ...]

    def measures(self) -> tuple[float, ...]:
        """Return left, bottom, right, top and area."""
        xs, ys = zip(*self.corners, strict=True)
        ends = (*self.corners[1:], self.corners[0])
        double = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(self.corners, ends, strict=True))
        return min(xs), min(ys), max(xs), max(ys), abs(double) / 2.0


@dataclass(frozen=True)
class Circle:
    """A circle by centre and radius."""

    x: float
    y: float
    radius: float

    def measures(self) -> tuple[float, ...]:
        """Return left, bottom, right, top and area."""
        r = self.radius
        return self.x - r, self.y - r, self.x + r, self.y + r, math.pi * r * r


Part = Polygon | Circle


def box(x: float, y: float, width: float, height: float) -> Polygon:
    """Return a rectangle."""
    return Polygon(((x, y), (x + width, y), (x + width, y + height), (x, y + height)))


def hexagon(x: float, y: float, side: float) -> Polygon:
    """Return a regular hexagon."""
    turns = [math.pi / 3 * k for k in range(6)]
    return Polygon(tuple((x + side * math.cos(t), y + side * math.sin(t)) for t in turns))


#: No set has a symmetry that would hide a turn or a mirror image.
SETS: dict[str, tuple[Part, ...]] = {
    "plain": (box(10, 12, 30, 20), Polygon(((50, 10), (90, 10), (50, 40)))),
    "round": (Circle(30, 30, 12.7), Circle(70, 25, 5)),
    "mixed": (hexagon(30, 30, 12.7), box(60, 15, 25, 25), Circle(110, 28, 10)),
    "flag": (
        Polygon(((15, 5), (75, 5), (75, 45), (55, 45), (55, 35), (15, 35))),
        Circle(100, 30, 6.35),
    ),
}


def moved(parts: tuple[Part, ...], turn_deg: float, scale: float, to: Point) -> tuple[Part, ...]:
    """Return parts turned about the origin, scaled and moved."""
    cos, sin = (f(math.radians(turn_deg)) * scale for f in (math.cos, math.sin))

    def place(x: float, y: float) -> Point:
        return cos * x - sin * y + to[0], sin * x + cos * y + to[1]

    return tuple(
        Circle(*place(part.x, part.y), part.radius * scale)
        if isinstance(part, Circle)
        else Polygon(tuple(place(*corner) for corner in part.corners))
        for part in parts
    )


@dataclass(frozen=True)
class Drawing:
    """A drawing of another hand, and what its maker states.

    ``is_floating`` if its maker moves it on the page; ``within`` is the tolerance of lengths, mm.
    """

    make: Callable[[], bytes]
    parts: tuple[Part, ...]
    units: str | None = None
    is_floating: bool = False
    within: float = 0.03
