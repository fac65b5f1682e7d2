"""Regular polygons with a flat side at the bottom and the centre at the origin.

Source:
    Side s, circumradius R = s / (2 sin(pi/n)), inradius r = s / (2 tan(pi/n)); elementary.
"""

from __future__ import annotations

import math

from geometry.errors import ShapeError
from geometry.model.outline import Outline, Vertex
from geometry.model.transform import cos_sin_deg
from geometry.shapes.kinds import ShapeKind, Values, count, length

_SIDE = length("side", "length of one side")
_FLATS = length("across_flats", "distance between opposite sides")
_CORNERS = length("across_corners", "largest distance between two corners")
_HEIGHT = length("height", "from a side square to the opposite corner")


def polygon(sides: int, side: float) -> Outline:
    """Return the regular polygon of ``sides`` sides of ``side`` mm."""
    radius = side / (2.0 * math.sin(math.pi / sides))
    vertices = []
    for index in range(sides):
        cos, sin = cos_sin_deg(270.0 + (2 * index - 1) * 180.0 / sides)
        vertices.append(Vertex(radius * cos, radius * sin))
    return Outline(tuple(vertices))


def side_of(sides: int, sizing: str, size: float) -> float:
    """Return the side of a regular polygon sized by another measure.

    Raises:
        ShapeError: when a polygon of this many sides has no such measure.
    """
    half = math.pi / sides
    if sizing == "side":
        return size
    if sizing == "across_corners":
        # With an odd number of corners none are opposite; the farthest two are half a step nearer.
        span = 2.0 if sides % 2 == 0 else 2.0 * math.cos(half / 2.0)
        return size / span * 2.0 * math.sin(half)
    if sizing == "across_flats":
        if sides % 2:
            detail = f"With {sides} sides no two are parallel; size it by side or height."
            raise ShapeError(detail, where=("across_flats",))
        return size * math.tan(half)
    if sides % 2 == 0:
        detail = f"With {sides} sides no corner lies opposite a side; use across_flats."
        raise ShapeError(detail, where=("height",))
    return size * 2.0 * math.tan(half) / (1.0 + 1.0 / math.cos(half))


def _regular(sides: int, title: str, family: str, example: str) -> ShapeKind:
    size_options = [_SIDE, _FLATS, _CORNERS] if sides % 2 == 0 else [_SIDE, _HEIGHT, _CORNERS]
    if sides == 3:  # noqa: PLR2004 - a triangle's corners are a side apart
        size_options.pop()

    def draw(values: Values, sizing: tuple[str, ...]) -> Outline:
        return polygon(sides, side_of(sides, sizing[0], float(values[sizing[0]])))

    return ShapeKind(
        kind=title.replace(" ", "_"),
        title=title,
        family=family,
        description=f"regular, {sides} sides, corners of {180 - 360 / sides:g} degrees",
        parameters=tuple(size_options),
        size_options=tuple((parameter.name,) for parameter in size_options),
        example={"side": example},
        unit={"side": 1.0},
        draw=draw,
    )


def _any_polygon(values: Values, sizing: tuple[str, ...]) -> Outline:
    sides = int(values["sides"])
    return polygon(sides, side_of(sides, sizing[0], float(values[sizing[0]])))


KINDS = (
    _regular(6, "hexagon", "60", "1 in"),
    _regular(3, "triangle", "60", "1 in"),
    _regular(4, "square", "", "1 in"),
    _regular(5, "pentagon", "", "1 in"),
    _regular(8, "octagon", "45", "1 in"),
    ShapeKind(
        kind="regular_polygon",
        title="regular polygon",
        family="",
        description="any number of equal sides and corners",
        parameters=(
            count("sides", "number of sides", 3, 60),
            _SIDE,
            _FLATS,
            _HEIGHT,
            _CORNERS,
        ),
        size_options=(("side",), ("across_flats",), ("height",), ("across_corners",)),
        required=("sides",),
        example={"sides": "7", "side": "1 in"},
        unit={"sides": 7, "side": 1.0},
        draw=_any_polygon,
    ),
)
