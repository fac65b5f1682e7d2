"""Right-angled triangles of the block: half and quarter squares, and any other."""

from __future__ import annotations

import math

from geometry.model.outline import Outline
from geometry.model.transform import Rigid
from geometry.shapes.kinds import HAND, ShapeKind, Values, centred, length

_ROOT2 = math.sqrt(2.0)


def _half_square(values: Values, sizing: tuple[str, ...]) -> Outline:
    size = float(values[sizing[0]])
    side = size if sizing[0] == "side" else size / _ROOT2
    return centred(Outline.of([(0, 0), (side, 0), (0, side)]))


def _quarter_square(values: Values, sizing: tuple[str, ...]) -> Outline:
    size = float(values[sizing[0]])
    base = size if sizing[0] == "base" else size * _ROOT2
    return centred(Outline.of([(0, 0), (base, 0), (base / 2.0, base / 2.0)]))


def _right(values: Values, sizing: tuple[str, ...]) -> Outline:
    width, height = (float(values[name]) for name in sizing)
    outline = centred(Outline.of([(0, 0), (width, 0), (0, height)]))
    return Rigid(mirrored=True).outline(outline) if values["hand"] == "left" else outline


KINDS = (
    ShapeKind(
        kind="half_square_triangle",
        title="half-square triangle",
        family="45",
        description="a square cut once across its diagonal: angles 90, 45, 45",
        parameters=(
            length("side", "finished side of the square: the two short sides"),
            length("long_side", "diagonal of the square: the long side"),
        ),
        size_options=(("side",), ("long_side",)),
        example={"side": "2 in"},
        unit={"side": 1.0},
        draw=_half_square,
    ),
    ShapeKind(
        kind="quarter_square_triangle",
        title="quarter-square triangle",
        family="45",
        description="a square cut twice across its diagonals: angles 45, 45, 90",
        parameters=(
            length("base", "finished side of the square: the long side"),
            length("short_side", "half the square's diagonal: the two short sides"),
        ),
        size_options=(("base",), ("short_side",)),
        example={"base": "2 in"},
        unit={"base": 1.0},
        draw=_quarter_square,
    ),
    ShapeKind(
        kind="right_triangle",
        title="right triangle",
        family="",
        description="one right angle, two sides of any length; its mirror image is another piece",
        parameters=(length("width", "side along x"), length("height", "side along y"), HAND),
        size_options=(("width", "height"),),
        example={"width": "2 in", "height": "1 in"},
        unit={"width": 2.0, "height": 1.0},
        draw=_right,
        chiral=True,
    ),
)
