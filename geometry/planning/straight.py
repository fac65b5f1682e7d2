"""Tilings whose rows and columns are straight: squares, rectangles, stars, apple cores.

Source:
    Constructions on the square lattice; elementary.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid
from geometry.planning.plane import Axis, Plane, Proto, Spot, Tiling, plain
from geometry.shapes.catalogue import build

_ROOT2 = math.sqrt(2.0)


def _box(width: float, height: float) -> list[tuple[float, ...]]:
    return [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]


def _cells(proto: Proto, width: float, height: float) -> Plane:
    return Plane(
        protos=(proto,),
        spots=(Spot(0, 0.0, 0.0, 0, 0),),
        width=width,
        height=height,
        rows=1,
        columns=1,
        across=Axis(0.0, width, width),
        along=Axis(0.0, height, height),
    )


def _squares(sizes: Mapping[str, float]) -> Plane:
    side = sizes["side"]
    return _cells(plain("square", {"side": side}, _box(side, side), "square"), side, side)


def _rectangles(sizes: Mapping[str, float]) -> Plane:
    width, height = sizes["width"], sizes["height"]
    values = {"width": width, "height": height}
    return _cells(plain("rectangle", values, _box(width, height), "rectangle"), width, height)


def _octagons(sizes: Mapping[str, float]) -> Plane:
    side = sizes["side"]
    near, cut = side / 2.0, side / 2.0 + side / _ROOT2
    octagon: list[tuple[float, ...]] = [
        (-near, -cut),
        (near, -cut),
        (cut, -near),
        (cut, near),
        (near, cut),
        (-near, cut),
        (-cut, near),
        (-cut, -near),
    ]
    tip = side / _ROOT2
    square: list[tuple[float, ...]] = [(0.0, -tip), (tip, 0.0), (0.0, tip), (-tip, 0.0)]
    cell = 2.0 * cut
    axis = Axis(0.0, cell, cell, teeth=tip)
    return Plane(
        protos=(
            plain("octagon", {"side": side}, octagon, "octagon"),
            plain("square", {"side": side}, square, "square"),
        ),
        spots=(Spot(0, cut, cut, 0, 0), Spot(1, 0.0, 0.0, 0, 0)),
        width=cell,
        height=cell,
        rows=1,
        columns=1,
        across=axis,
        along=axis,
    )


def _turn(rows: list[tuple[float, ...]], quarter: int) -> list[tuple[float, ...]]:
    for _ in range(quarter):
        rows = [(-row[1], row[0], *row[2:]) for row in rows]
    return rows


def _eight_point_stars(sizes: Mapping[str, float]) -> Plane:
    side = sizes["side"]
    # Half the block, and a side at 45 degrees.
    half, slant = side * (1.0 + 1.0 / _ROOT2), side / _ROOT2
    low: list[tuple[float, ...]] = [(0, 0), (side, 0), (half, slant), (slant, slant)]
    high: list[tuple[float, ...]] = [(0, 0), (slant, slant), (slant, half), (0, side)]
    corner: list[tuple[float, ...]] = [(slant, slant), (half, slant), (half, half), (slant, half)]
    edge: list[tuple[float, ...]] = [(side, 0), (half, -slant), (half, slant)]
    protos: list[Proto] = []
    for quarter in range(4):
        size = {"side": side}
        protos += [
            plain("diamond_45", size, _turn(low, quarter), "star"),
            plain("diamond_45", size, _turn(high, quarter), "star"),
            plain("square", size, _turn(corner, quarter), "corner"),
            plain(
                "quarter_square_triangle", {"base": side * _ROOT2}, _turn(edge, quarter), "triangle"
            ),
        ]
    axis = Axis(0.0, 2.0 * half, 2.0 * half)
    return Plane(
        protos=tuple(protos),
        spots=tuple(Spot(index, half, half, 0, 0) for index in range(len(protos))),
        width=2.0 * half,
        height=2.0 * half,
        rows=1,
        columns=1,
        across=axis,
        along=axis,
    )


def _apple_cores(sizes: Mapping[str, float]) -> Plane:
    length = sizes["length"]
    cell = length / _ROOT2
    # Distance between a quarter circle and its chord.
    bulge = (length - cell) / 2.0
    upright = build("apple_core", {"length": length})
    square = Bounds(-cell / 2.0, -cell / 2.0, cell / 2.0, cell / 2.0)
    axis = Axis(0.0, cell, cell, cut_start=cell / 2.0, overhang=bulge, teeth=2.0 * bulge)

    def proto(outline: Outline, role: str) -> Proto:
        return Proto("apple_core", {"length": length}, outline, role, square)

    return Plane(
        protos=(proto(upright, "upright"), proto(Rigid(turn_deg=90.0).outline(upright), "level")),
        spots=tuple(
            Spot((row + column) % 2, (column + 0.5) * cell, (row + 0.5) * cell, row, column)
            for row in range(2)
            for column in range(2)
        ),
        width=2.0 * cell,
        height=2.0 * cell,
        rows=2,
        columns=2,
        across=axis,
        along=axis,
    )


_SIDE = {"side": "length of one side"}

TILINGS = (
    Tiling("square", "squares", "rows and columns of squares", _SIDE, _squares),
    Tiling(
        "rectangle",
        "rectangles",
        "rows and columns of rectangles",
        {"width": "along the quilt's width", "height": "along the quilt's length"},
        _rectangles,
    ),
    Tiling(
        "octagon_square",
        "octagons with squares",
        "octagons flat side by flat side, a square on its tip between every four",
        _SIDE,
        _octagons,
    ),
    Tiling(
        "eight_point_star",
        "eight-point stars with their fillers",
        "blocks of eight 45-degree diamonds, squares in the corners, quarter-square triangles "
        "on the sides",
        _SIDE,
        _eight_point_stars,
    ),
    Tiling(
        "apple_core",
        "apple cores",
        "apple cores, turned by a quarter alternately",
        {"length": "longest dimension of one piece"},
        _apple_cores,
    ),
)
