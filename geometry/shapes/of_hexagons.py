"""Pieces derived from the regular hexagon and octagon.

Source:
    Constructions from the equilateral lattice; elementary. The names jewel, kite and honeycomb vary
    in use, so each is defined here by its numbers.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from geometry.model.outline import Outline
from geometry.shapes.kinds import Parameter, ShapeKind, Values, centred, count, length

_ROOT3 = math.sqrt(3.0)


def _half(values: Values, sizing: tuple[str, ...]) -> Outline:
    size = float(values[sizing[0]])
    side = {"side": size, "long_base": size / 2.0, "height": size * 2.0 / _ROOT3}[sizing[0]]
    y = side * _ROOT3 / 4.0
    return Outline.of([(-side, -y), (side, -y), (side / 2, y), (-side / 2, y)])


def _half_flat(values: Values, sizing: tuple[str, ...]) -> Outline:
    side = float(values[sizing[0]])
    flat = side * _ROOT3 / 2.0
    return centred(
        Outline.of([(0, -flat), (side / 2, -flat), (side, 0), (side / 2, flat), (0, flat)])
    )


def _third(values: Values, sizing: tuple[str, ...]) -> Outline:
    side = float(values[sizing[0]])
    x, y = side * 0.75, side * _ROOT3 / 4.0
    # The hexagon's centre is at the bottom, two of its corners at the top.
    return centred(
        Outline.of(
            [(0, 0), (x, y), (side / 2, 2 * y), (-side / 2, 2 * y), (-x, y)],
        )
    )


def _jewel(values: Values, sizing: tuple[str, ...]) -> Outline:
    size = float(values[sizing[0]])
    side = {"side": size, "width": size / 2.0, "length": size / (1.5 * _ROOT3)}[sizing[0]]
    rise = side * _ROOT3 / 2.0
    return centred(
        Outline.of(
            [(-side / 2, 0), (side / 2, 0), (side, rise), (0, 3 * rise), (-side, rise)],
        )
    )


def _kite_of(sides: int, values: Values, sizing: tuple[str, ...]) -> Outline:
    half = math.pi / sides
    size = float(values[sizing[0]])
    side = size if sizing[0] == "side" else size * 2.0 * math.sin(half)
    inradius, circumradius = side / (2 * math.tan(half)), side / (2 * math.sin(half))
    x, y = inradius * math.sin(half), inradius * math.cos(half)
    return centred(Outline.of([(0, 0), (x, y), (0, circumradius), (-x, y)]))


def _right_angled(long_side: float, short_side: float) -> Outline:
    x, y = long_side / 2.0, short_side / math.sqrt(2.0)
    return Outline.of([(-x, -y), (x, -y), (x + y, 0), (x, y), (-x, y), (-x - y, 0)])


def _elongated(values: Values, sizing: tuple[str, ...]) -> Outline:
    return _right_angled(float(values[sizing[0]]), float(values[sizing[1]]))


def _honeycomb(values: Values, sizing: tuple[str, ...]) -> Outline:
    size = float(values[sizing[0]])
    side = {
        "side": size,
        "width": size / math.sqrt(2.0),
        "length": size / (1.0 + math.sqrt(2.0)),
    }[sizing[0]]
    return _right_angled(side, side)


def _elongated_120(values: Values, sizing: tuple[str, ...]) -> Outline:
    long_side, side = (float(values[name]) for name in sizing)
    x, y = long_side / 2.0, side * _ROOT3 / 2.0
    tip = x + side / 2.0
    return Outline.of([(-x, -y), (x, -y), (tip, 0), (x, y), (-x, y), (-tip, 0)])


def flower_outline(rounds: int, side: float) -> Outline:
    """Return the outer edge of a hexagon with ``rounds`` rounds of hexagons around it.

    Shape:
        12 k + 6 vertices for k rounds, every edge ``side`` long.
    """
    # In units of half a side along x and half a height along y, all corners are whole numbers, so
    # inner edges cancel exactly.
    corners = ((2, 0), (1, 1), (-1, 1), (-2, 0), (-1, -1), (1, -1))
    edges: set[tuple[tuple[int, int], tuple[int, int]]] = set()
    for q in range(-rounds, rounds + 1):
        for r in range(max(-rounds, -q - rounds), min(rounds, -q + rounds) + 1):
            cx, cy = 3 * q, 2 * r + q
            ring = [(cx + x, cy + y) for x, y in corners]
            for edge in zip(ring, ring[1:] + ring[:1], strict=True):
                back = (edge[1], edge[0])
                if back in edges:
                    edges.remove(back)
                else:
                    edges.add(edge)
    following = dict(edges)
    first = min(following, key=lambda corner: (corner[1], corner[0]))
    ring, at = [first], following[first]
    while at != first:
        ring.append(at)
        at = following[at]
    x_unit, y_unit = side / 2.0, side * _ROOT3 / 2.0
    return Outline.of([(x * x_unit, y * y_unit) for x, y in ring])


def _flower(values: Values, sizing: tuple[str, ...]) -> Outline:
    return flower_outline(int(values["rounds"]), float(values[sizing[0]]))


_PARENT = length("side", "side of the hexagon it is part of")


def _kind(
    kind: str,
    title: str,
    family: str,
    description: str,
    parameters: tuple[Parameter, ...],
    draw: Callable[[Values, tuple[str, ...]], Outline],
) -> ShapeKind:
    return ShapeKind(
        kind=kind,
        title=title,
        family=family,
        description=description,
        parameters=parameters,
        size_options=tuple((parameter.name,) for parameter in parameters),
        example={parameters[0].name: "1 in"},
        unit={parameters[0].name: 1.0},
        draw=draw,
    )


KINDS = (
    _kind(
        "half_hexagon",
        "half hexagon",
        "60",
        "cut corner to corner: a trapezoid, angles 60, 60, 120, 120",
        (
            length("side", "length of the short sides"),
            length("long_base", "length of the long side"),
            length("height", "from long to short side"),
        ),
        _half,
    ),
    _kind(
        "half_hexagon_flat",
        "half hexagon, flat to flat",
        "60",
        "cut across the flats: five sides, angles 90, 120, 120, 120, 90",
        (_PARENT,),
        _half_flat,
    ),
    _kind(
        "hexagon_third",
        "hexagon third",
        "60",
        "from the centre to two edge midpoints: angles 120, 90, 120, 120, 90",
        (_PARENT,),
        _third,
    ),
    _kind(
        "jewel",
        "jewel",
        "60",
        "60-degree diamond of twice the side with one tip cut off by the side: "
        "angles 60, 120, 120, 120, 120",
        (
            length("side", "length of the three short sides"),
            length("width", "widest distance across, twice the side"),
            length("length", "from the tip to the flat end"),
        ),
        _jewel,
    ),
    _kind(
        "kite",
        "kite of the hexagon",
        "60",
        "a sixth of a hexagon, centre to two edge midpoints: angles 60, 90, 120, 90",
        (_PARENT, length("length", "long axis, centre to corner")),
        lambda values, sizing: _kite_of(6, values, sizing),
    ),
    _kind(
        "octagon_kite",
        "kite of the octagon",
        "45",
        "an eighth of an octagon, centre to two edge midpoints: angles 45, 90, 135, 90",
        (
            length("side", "side of the octagon it is part of"),
            length("length", "long axis, centre to corner"),
        ),
        lambda values, sizing: _kite_of(8, values, sizing),
    ),
    ShapeKind(
        kind="elongated_hexagon",
        title="elongated hexagon",
        family="45",
        description="right-angled tips: angles 90, 135, 135 twice",
        parameters=(
            length("long_side", "length of the two long sides"),
            length("short_side", "length of the four short sides"),
        ),
        size_options=(("long_side", "short_side"),),
        example={"long_side": "2 in", "short_side": "1 in"},
        unit={"long_side": 2.0, "short_side": 1.0},
        draw=_elongated,
    ),
    _kind(
        "honeycomb",
        "honeycomb",
        "45",
        "elongated hexagon with right-angled tips and six equal sides",
        (
            length("side", "length of one side"),
            length("width", "distance between the level sides"),
            length("length", "from tip to tip"),
        ),
        _honeycomb,
    ),
    ShapeKind(
        kind="elongated_hexagon_120",
        title="elongated hexagon, 120 degrees throughout",
        family="60",
        description="a hexagon with one pair of sides longer: six angles of 120",
        parameters=(
            length("long_side", "length of the two long sides"),
            length("side", "length of the four other sides"),
        ),
        size_options=(("long_side", "side"),),
        example={"long_side": "2 in", "side": "1 in"},
        unit={"long_side": 2.0, "side": 1.0},
        draw=_elongated_120,
    ),
    ShapeKind(
        kind="hexagon_flower",
        title="hexagon flower",
        family="60",
        description="outer edge of a hexagon with whole rounds of hexagons about it",
        parameters=(
            count("rounds", "rounds about the centre", 1, 20),
            length("side", "side of each hexagon"),
        ),
        size_options=(("side",),),
        required=("rounds",),
        example={"rounds": "1", "side": "1 in"},
        unit={"rounds": 1, "side": 1.0},
        draw=_flower,
    ),
)
