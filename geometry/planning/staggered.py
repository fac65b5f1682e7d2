"""Tilings whose rows are shifted by half a piece, and others on the sixty-degree lattice.

Source:
    Constructions on the triangular lattice; elementary.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from geometry.planning.honeycomb import (
    ROOT3,
    Rows,
    hexagons,
    kites,
    six_point_stars,
    tumbling_blocks,
)
from geometry.planning.plane import Axis, Plane, Proto, Spot, Tiling, plain
from geometry.shapes.catalogue import build


def _diamonds(side: float, tip_deg: int) -> Plane:
    tip = math.radians(tip_deg)
    width, height = 2.0 * side * math.sin(tip / 2.0), 2.0 * side * math.cos(tip / 2.0)
    rows: Rows = [(0, -height / 2), (width / 2, 0), (0, height / 2), (-width / 2, 0)]
    return Plane(
        protos=(plain(f"diamond_{tip_deg}", {"side": side}, rows, "diamond"),),
        spots=(Spot(0, width / 2, 0.0, 0, 0), Spot(0, width, height / 2, 1, 0)),
        width=width,
        height=height,
        rows=2,
        columns=1,
        across=Axis(0.0, width, width, teeth=width / 2),
        along=Axis(-height / 2, height / 2, height / 2, base=height / 2, teeth=height / 2),
        staggered=True,
    )


def _triangles(sizes: Mapping[str, float]) -> Plane:
    side = sizes["side"]
    height = side * ROOT3 / 2.0
    size = {"side": side}
    up: Rows = [(0, 0), (side, 0), (side / 2, height)]
    down: Rows = [(0, 0), (side / 2, -height), (side, 0)]
    return Plane(
        protos=(plain("triangle", size, up, "up"), plain("triangle", size, down, "down")),
        spots=(
            Spot(0, 0.0, 0.0, 0, 0),
            Spot(1, side / 2, height, 0, 1),
            Spot(1, 0.0, 2 * height, 1, 0),
            Spot(0, side / 2, height, 1, 1),
        ),
        width=side,
        height=2.0 * height,
        rows=2,
        columns=2,
        across=Axis(0.0, side / 2, side / 2, base=side / 2, teeth=side / 2),
        along=Axis(0.0, height, height),
    )


def _half_hexagons(sizes: Mapping[str, float]) -> Plane:
    side = sizes["side"]
    height = side * ROOT3 / 2.0
    size = {"side": side}
    up: Rows = [(-side, 0), (side, 0), (side / 2, height), (-side / 2, height)]
    down: Rows = [(-side, 0), (-side / 2, -height), (side / 2, -height), (side, 0)]
    step = 1.5 * side
    return Plane(
        protos=(plain("half_hexagon", size, up, "up"), plain("half_hexagon", size, down, "down")),
        spots=(
            Spot(0, 0.0, 0.0, 0, 0),
            Spot(1, step, height, 0, 1),
            Spot(0, step, height, 1, 1),
            Spot(1, 0.0, 2 * height, 1, 0),
        ),
        width=2.0 * step,
        height=2.0 * height,
        rows=2,
        columns=2,
        across=Axis(-side, step, step, base=side / 2, teeth=side / 2),
        along=Axis(0.0, height, height),
    )


def _hexagons_triangles(sizes: Mapping[str, float]) -> Plane:
    side = sizes["side"]
    rise = side * ROOT3 / 2.0
    size = {"side": side}
    hexagon: Rows = [
        (-side / 2, -rise),
        (side / 2, -rise),
        (side, 0),
        (side / 2, rise),
        (-side / 2, rise),
        (-side, 0),
    ]
    over: Rows = [(0, 0), (side / 2, rise), (-side / 2, rise)]
    under: Rows = [(0, 0), (-side / 2, -rise), (side / 2, -rise)]
    return Plane(
        protos=(
            plain("hexagon", size, hexagon, "hexagon"),
            plain("triangle", size, over, "triangle"),
            plain("triangle", size, under, "triangle"),
        ),
        spots=tuple(
            Spot(proto, side * (row + (proto > 0)), 2 * rise * row, row, 0)
            for row in range(2)
            for proto in range(3)
        ),
        width=2.0 * side,
        height=4.0 * rise,
        rows=2,
        columns=1,
        across=Axis(-side, 2 * side, side, teeth=side),
        along=Axis(-rise, 2 * rise, 2 * rise, cut_start=-rise),
        staggered=True,
    )


def _clamshells(sizes: Mapping[str, float]) -> Plane:
    width = sizes["width"]
    r = width / 2.0
    outline = build("clamshell", {"width": width})
    return Plane(
        protos=(Proto("clamshell", {"width": width}, outline, "clamshell"),),
        spots=(Spot(0, r, 0.0, 0, 0), Spot(0, width, r, 1, 0)),
        width=width,
        height=width,
        rows=2,
        columns=1,
        across=Axis(0.0, width, width, teeth=r),
        along=Axis(-r, r, r, base=r, teeth=r),
        staggered=True,
    )


_SIDE = {"side": "length of one side"}
_PARENT = {"side": "side of the hexagon"}

TILINGS = (
    Tiling(
        "triangle",
        "triangles",
        "rows of equilateral triangles, point up and point down in turn",
        _SIDE,
        _triangles,
    ),
    Tiling("hexagon", "hexagons", "rows of hexagons standing on their points", _SIDE, hexagons),
    Tiling(
        "diamond_60",
        "60-degree diamonds",
        "rows of diamonds standing on their tips",
        _SIDE,
        lambda sizes: _diamonds(sizes["side"], 60),
    ),
    Tiling(
        "diamond_45",
        "45-degree diamonds",
        "rows of diamonds standing on their tips",
        _SIDE,
        lambda sizes: _diamonds(sizes["side"], 45),
    ),
    Tiling(
        "tumbling_blocks",
        "tumbling blocks",
        "three 60-degree diamonds make a block: top, left and right face",
        _SIDE,
        tumbling_blocks,
    ),
    Tiling(
        "half_hexagon",
        "half hexagons",
        "rows of half hexagons, long side down and long side up in turn; two rows make hexagons",
        {"side": "length of the short sides"},
        _half_hexagons,
    ),
    Tiling(
        "hexagon_triangle",
        "hexagons with triangles",
        "hexagons corner to corner, two triangles between every two",
        _SIDE,
        _hexagons_triangles,
    ),
    Tiling("kite", "kites of the hexagon", "six kites make a hexagon", _PARENT, kites),
    Tiling(
        "six_point_star",
        "six-point stars with their fillers",
        "stars of six 60-degree diamonds tip to tip, a diamond between every two",
        _SIDE,
        six_point_stars,
    ),
    Tiling(
        "clamshell",
        "clamshells",
        "rows of clamshells, every other row shifted by half",
        {"width": "widest across"},
        _clamshells,
    ),
    Tiling(
        "hexagon_flower",
        "hexagon flowers with paths",
        "hexagons: a centre, rounds about it, and a path between the flowers",
        _PARENT,
        hexagons,
        {"rounds": (1, 20, 1), "path": (0, 6, 1)},
    ),
)
