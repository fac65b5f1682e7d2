"""Tilings whose blocks fill the hexagons of a honeycomb.

Source:
    Constructions on the triangular lattice; elementary.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from geometry.model.segments import Bounds
from geometry.planning.plane import Axis, Plane, Proto, Spot, plain

ROOT3 = math.sqrt(3.0)


Rows = list[tuple[float, ...]]


def _turned(rows: Rows, sixths: int) -> Rows:
    """Return points rotated about the origin by sixths of a turn."""
    cos, sin = math.cos(sixths * math.pi / 3.0), math.sin(sixths * math.pi / 3.0)
    return [(row[0] * cos - row[1] * sin, row[0] * sin + row[1] * cos) for row in rows]


def _hexagon_rows(side: float) -> Rows:
    half, flat = side / 2.0, side * ROOT3 / 2.0
    return [(0, -side), (flat, -half), (flat, half), (0, side), (-flat, half), (-flat, -half)]


def _honeycomb(protos: tuple[Proto, ...], side: float, *, cut_rows: float = 0.0) -> Plane:
    """Return the plane of blocks that fill hexagons of ``side`` with points up and down."""
    width, rise = side * ROOT3, side * 1.5
    return Plane(
        protos=protos,
        spots=tuple(
            Spot(index, width / 2.0 * (1 + row), rise * row, row, 0)
            for row in range(2)
            for index in range(len(protos))
        ),
        width=width,
        height=2.0 * rise,
        rows=2,
        columns=1,
        across=Axis(0.0, width, width, teeth=width / 2.0),
        along=Axis(-side, rise, rise, base=side / 2.0, cut_start=cut_rows, teeth=side / 2.0),
        staggered=True,
    )


def _hexagon_box(side: float) -> Bounds:
    return Bounds(-side * ROOT3 / 2.0, -side, side * ROOT3 / 2.0, side)


def hexagons(sizes: Mapping[str, float]) -> Plane:
    """Return hexagons that stand on their points."""
    side = sizes["side"]
    rows = _hexagon_rows(side)
    return _honeycomb((plain("hexagon", {"side": side}, rows, "hexagon"),), side)


def tumbling_blocks(sizes: Mapping[str, float]) -> Plane:
    """Return blocks of three diamonds: a top, a left and a right face."""
    side = sizes["side"]
    half, flat = side / 2.0, side * ROOT3 / 2.0
    box = _hexagon_box(side)
    faces: dict[str, Rows] = {
        "top": [(0, 0), (flat, half), (0, side), (-flat, half)],
        "left": [(0, 0), (-flat, half), (-flat, -half), (0, -side)],
        "right": [(0, 0), (0, -side), (flat, -half), (flat, half)],
    }
    protos = tuple(
        Proto("diamond_60", {"side": side}, plain("", {}, rows, "").outline, face, box)
        for face, rows in faces.items()
    )
    # The lines through the shoulders cut only the top faces, from tip to tip.
    return _honeycomb(protos, side, cut_rows=half)


def kites(sizes: Mapping[str, float]) -> Plane:
    """Return hexagons of six kites."""
    side = sizes["side"]
    flat = side * ROOT3 / 2.0
    # From the centre to the flats' middles on both sides of the upper corner.
    kite: Rows = [(0, 0), (flat / 2.0, side * 0.75), (0, side), (-flat / 2.0, side * 0.75)]
    protos = tuple(
        Proto(
            "kite",
            {"side": side},
            plain("", {}, _turned(kite, sixths), "").outline,
            "kite",
            _hexagon_box(side),
        )
        for sixths in range(6)
    )
    return _honeycomb(protos, side)


def six_point_stars(sizes: Mapping[str, float]) -> Plane:
    """Return stars of six diamonds, tip to tip, with a diamond between every two."""
    side = sizes["side"]
    block = side * ROOT3
    tall = side * ROOT3 / 2.0
    # A diamond with its tips up and down, one tip in the star's middle.
    ray: Rows = [(0, 0), (side / 2.0, tall), (0, block), (-side / 2.0, tall)]
    # A filler lies along the block's edge, half in this block and half in its neighbour.
    filler: Rows = [
        (side, 0),
        (side * 1.5, -tall),
        (side * 2.0, 0),
        (side * 1.5, tall),
    ]
    size = {"side": side}
    rays = tuple(
        Proto(
            "diamond_60",
            size,
            plain("", {}, _turned(ray, sixths), "").outline,
            "star",
            _hexagon_box(block),
        )
        for sixths in range(6)
    )
    fillers = tuple(
        plain("diamond_60", size, _turned(filler, sixths), "filler") for sixths in range(3)
    )
    return _honeycomb(rays + fillers, block)
