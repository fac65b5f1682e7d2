"""Rectangles, diamonds, parallelograms and tumblers."""

from __future__ import annotations

import math

from geometry.errors import ShapeError
from geometry.model.outline import Outline
from geometry.model.transform import Rigid
from geometry.shapes.kinds import HAND, Parameter, ShapeKind, Values, count, length


def _rectangle(values: Values, sizing: tuple[str, ...]) -> Outline:
    x, y = (float(values[name]) / 2.0 for name in sizing)
    return Outline.of([(-x, -y), (x, -y), (x, y), (-x, y)])


def diamond(side: float, tip: float) -> Outline:
    """Return the diamond of four equal sides with tips of ``tip`` rad at top and bottom."""
    x, y = side * math.sin(tip / 2.0), side * math.cos(tip / 2.0)
    return Outline.of([(0.0, -y), (x, 0.0), (0.0, y), (-x, 0.0)])


def _diamond_side(sizing: str, size: float, tip: float) -> float:
    return (
        size
        / {
            "side": 1.0,
            "across_sides": math.sin(tip),
            "long_diagonal": 2.0 * math.cos(tip / 2.0),
            "short_diagonal": 2.0 * math.sin(tip / 2.0),
        }[sizing]
    )


_DIAMOND = (
    length("side", "length of one side"),
    length("across_sides", "distance between parallel sides"),
    length("long_diagonal", "from tip to tip"),
    length("short_diagonal", "from blunt corner to blunt corner"),
)
_DIAMOND_SIZE_OPTIONS = tuple((parameter.name,) for parameter in _DIAMOND)


def _fixed_diamond(tip_deg: int) -> ShapeKind:
    def draw(values: Values, sizing: tuple[str, ...]) -> Outline:
        tip = math.radians(tip_deg)
        return diamond(_diamond_side(sizing[0], float(values[sizing[0]]), tip), tip)

    return ShapeKind(
        kind=f"diamond_{tip_deg}",
        title=f"{tip_deg}-degree diamond",
        family=str(tip_deg),
        description=f"four equal sides, tips of {tip_deg} degrees: "
        f"{360 // tip_deg} of them make a star of {360 // tip_deg} points",
        parameters=_DIAMOND,
        size_options=_DIAMOND_SIZE_OPTIONS,
        example={"side": "1 in"},
        unit={"side": 1.0},
        draw=draw,
    )


def _star_diamond(values: Values, sizing: tuple[str, ...]) -> Outline:
    tip = math.tau / int(values["points"])
    return diamond(_diamond_side(sizing[0], float(values[sizing[0]]), tip), tip)


def _parallelogram(values: Values, sizing: tuple[str, ...]) -> Outline:
    base, side = (float(values[name]) for name in sizing)
    angle = math.radians(float(values["angle_deg"]))
    x, y = side * math.cos(angle), side * math.sin(angle)
    left = -(base + x) / 2.0
    outline = Outline.of(
        [(left, -y / 2), (left + base, -y / 2), (left + base + x, y / 2), (left + x, y / 2)]
    )
    return Rigid(mirrored=True).outline(outline) if values["hand"] == "left" else outline


def _tumbler(values: Values, sizing: tuple[str, ...]) -> Outline:
    top, bottom, height = (float(values[name]) for name in sizing)
    if top <= bottom:
        detail = "A tumbler is wider at the top than at the bottom; swap the two or use rectangle."
        raise ShapeError(detail, where=("bottom_width",))
    y = height / 2.0
    return Outline.of([(-bottom / 2, -y), (bottom / 2, -y), (top / 2, y), (-top / 2, y)])


KINDS = (
    ShapeKind(
        kind="rectangle",
        title="rectangle",
        family="",
        description="four right angles",
        parameters=(length("width", "along x"), length("height", "along y")),
        size_options=(("width", "height"),),
        example={"width": "2 in", "height": "1 in"},
        unit={"width": 2.0, "height": 1.0},
        draw=_rectangle,
    ),
    _fixed_diamond(60),
    _fixed_diamond(45),
    ShapeKind(
        kind="star_diamond",
        title="star diamond",
        family="",
        description="four equal sides, tips of 360/points degrees: that many make a star",
        parameters=(count("points", "points of the star", 5, 32), *_DIAMOND),
        size_options=_DIAMOND_SIZE_OPTIONS,
        required=("points",),
        example={"points": "5", "side": "1 in"},
        unit={"points": 5, "side": 1.0},
        draw=_star_diamond,
    ),
    ShapeKind(
        kind="parallelogram",
        title="parallelogram",
        family="",
        description="two pairs of parallel sides; its mirror image is another piece",
        parameters=(
            length("base", "length of the level sides"),
            length("side", "length of the slanted sides"),
            Parameter(
                "angle_deg", "angle_deg", "acute angle", minimum=10.0, maximum=89.0, default=None
            ),
            HAND,
        ),
        size_options=(("base", "side"),),
        required=("angle_deg",),
        example={"base": "2 in", "side": "1 in", "angle_deg": "45"},
        unit={"base": 2.0, "side": 1.0, "angle_deg": 45.0},
        draw=_parallelogram,
        chiral=True,
    ),
    ShapeKind(
        kind="tumbler",
        title="tumbler",
        family="",
        description="an upright trapezoid, wider at the top; turned alternately they make rows",
        parameters=(
            length("top_width", "width of the wide end"),
            length("bottom_width", "width of the narrow end"),
            length("height", "from end to end"),
        ),
        size_options=(("top_width", "bottom_width", "height"),),
        example={"top_width": "3 in", "bottom_width": "2 in", "height": "3 1/2 in"},
        unit={"top_width": 1.0, "bottom_width": 0.6, "height": 1.0},
        draw=_tumbler,
    ),
)
