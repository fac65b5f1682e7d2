"""Pieces with circular sides."""

from __future__ import annotations

import math

from geometry.model.outline import Outline
from geometry.shapes.kinds import ShapeKind, Values, length

_ROOT2 = math.sqrt(2.0)
#: Bulge of a quarter circle and of a sixth.
_QUARTER = math.tan(math.pi / 8.0)
_SIXTH = math.tan(math.pi / 12.0)


def _clamshell(values: Values, sizing: tuple[str, ...]) -> Outline:
    r = float(values[sizing[0]]) / 2.0
    return Outline.of([(r, 0, 1), (-r, 0, -_QUARTER), (0, -r, -_QUARTER)])


def _apple_core(values: Values, sizing: tuple[str, ...]) -> Outline:
    size = float(values[sizing[0]])
    half = {"length": size / 2.0 / _ROOT2, "corner_width": size / 2.0, "radius": size / _ROOT2}[
        sizing[0]
    ]
    return Outline.of(
        [
            (-half, -half, _QUARTER),
            (half, -half, -_QUARTER),
            (half, half, _QUARTER),
            (-half, half, -_QUARTER),
        ]
    )


def _petal(values: Values, sizing: tuple[str, ...]) -> Outline:
    size = float(values[sizing[0]])
    half = size / 2.0 if sizing[0] == "length" else size / _ROOT2
    return Outline.of([(0, -half, _QUARTER), (0, half, _QUARTER)])


def _rosette_petal(values: Values, sizing: tuple[str, ...]) -> Outline:
    half = float(values[sizing[0]]) / 2.0
    return Outline.of([(0, -half, _SIXTH), (0, half, _SIXTH)])


KINDS = (
    ShapeKind(
        kind="clamshell",
        title="clamshell",
        family="",
        description="half a circle above, two hollow quarter circles of the same radius below, "
        "meeting in a tail point of zero degrees",
        parameters=(length("width", "widest across; the height is the same"),),
        size_options=(("width",),),
        example={"width": "2 in"},
        unit={"width": 2.0},
        draw=_clamshell,
    ),
    ShapeKind(
        kind="apple_core",
        title="apple core",
        family="",
        description="quarter circles of one radius, two opposite ones bulging out and two in: "
        "four corners of 90 degrees",
        parameters=(
            length("length", "longest dimension, twice the radius"),
            length("corner_width", "from corner to corner along an end"),
            length("radius", "radius of all four sides"),
        ),
        size_options=(("length",), ("corner_width",), ("radius",)),
        example={"length": "4 in"},
        unit={"radius": 1.0},
        draw=_apple_core,
    ),
    ShapeKind(
        kind="petal",
        title="petal",
        family="",
        description="orange peel: two quarter circles, tips of 90 degrees",
        parameters=(
            length("length", "from tip to tip"),
            length("square", "side of the square it lies across, which is its radius"),
        ),
        size_options=(("length",), ("square",)),
        example={"length": "2 in"},
        unit={"square": 1.0},
        draw=_petal,
    ),
    ShapeKind(
        kind="rosette_petal",
        title="petal of the rosette",
        family="60",
        description="two sixths of a circle, tips of 60 degrees: six make a rosette",
        parameters=(length("length", "from tip to tip, which is its radius"),),
        size_options=(("length",),),
        example={"length": "2 in"},
        unit={"length": 1.0},
        draw=_rosette_petal,
    ),
)
