"""Pieces arranged in a circle: Dresden blades and wedges."""

from __future__ import annotations

import math

from geometry.errors import ShapeError
from geometry.model.outline import Outline
from geometry.shapes.kinds import ShapeKind, Values, centred, count, length


def _blade(values: Values, sizing: tuple[str, ...]) -> Outline:
    outer, inner = (float(values[name]) for name in sizing)
    if inner >= outer:
        raise ShapeError("The inner radius must be less than the outer.", where=("inner_radius",))
    slope = math.tan(math.pi / int(values["blades"]))
    return centred(
        Outline.of(
            [
                (-inner * slope, inner),
                (inner * slope, inner),
                (outer * slope, outer),
                (-outer * slope, outer),
            ]
        )
    )


def _wedge(values: Values, sizing: tuple[str, ...]) -> Outline:
    radius = float(values[sizing[0]])
    half = math.pi / int(values["wedges"])
    x, y = radius * math.sin(half), radius * math.cos(half)
    return centred(Outline.of([(0, 0), (x, y, math.tan(half / 2.0)), (-x, y)]))


def _circle(values: Values, sizing: tuple[str, ...]) -> Outline:
    size = float(values[sizing[0]])
    radius = size / 2.0 if sizing[0] == "diameter" else size
    return Outline.of([(radius, 0, 1), (-radius, 0, 1)])


KINDS = (
    ShapeKind(
        kind="dresden_blade",
        title="Dresden blade",
        family="",
        description="straight-sided blade of a plate of that many, between two radii "
        "measured at the middle of its ends",
        parameters=(
            count("blades", "blades in the full circle", 3, 60),
            length("outer_radius", "centre of the plate to the middle of the outer end"),
            length("inner_radius", "centre of the plate to the middle of the inner end"),
        ),
        size_options=(("outer_radius", "inner_radius"),),
        required=("blades",),
        example={"blades": "20", "outer_radius": "8 in", "inner_radius": "2 in"},
        unit={"blades": 20, "outer_radius": 4.0, "inner_radius": 1.0},
        draw=_blade,
    ),
    ShapeKind(
        kind="wedge",
        title="wedge",
        family="",
        description="slice of a circle of that many, its outer end round",
        parameters=(
            count("wedges", "wedges in the full circle", 3, 60),
            length("radius", "centre to the round end"),
        ),
        size_options=(("radius",),),
        required=("wedges",),
        example={"wedges": "12", "radius": "6 in"},
        unit={"wedges": 12, "radius": 1.0},
        draw=_wedge,
    ),
    ShapeKind(
        kind="circle",
        title="circle",
        family="",
        description="one radius all round",
        parameters=(
            length("diameter", "straight across"),
            length("radius", "centre to edge"),
        ),
        size_options=(("diameter",), ("radius",)),
        example={"diameter": "2 in"},
        unit={"diameter": 1.0},
        draw=_circle,
    ),
)
