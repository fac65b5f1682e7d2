"""Stars pieced of diamonds: n rows of n small diamonds in each point.

Source:
    Eight points of 45 degrees: 8 n^2 diamonds; squares and quarter-square triangles as wide as n
    diamonds complete a block of (2 + sqrt 2) n sides. Six points of 60 degrees: 6 n^2 diamonds in a
    rectangle of 3 n by 2 sqrt 3 n sides. Elementary.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from geometry.planning.pieces import signature
from geometry.planning.plane import Axis, Plane, Proto, Spot, Tiling, plain
from geometry.shapes.catalogue import build

_ROOT2, _ROOT3 = math.sqrt(2.0), math.sqrt(3.0)
_Rows = list[tuple[float, ...]]
#: Most diamonds along the edge of a point, and the number when it is not stated.
MAX_DIAMONDS, USUAL_DIAMONDS = 20, 4


def _turned(rows: _Rows, degrees: float) -> _Rows:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [(row[0] * cos - row[1] * sin, row[0] * sin + row[1] * cos) for row in rows]


def _diamonds_of(sizes: Mapping[str, float]) -> int:
    return int(sizes.get("diamonds", USUAL_DIAMONDS))


class _Block:
    """The pieces of a block, each with its place from the block's middle."""

    def __init__(self) -> None:
        self.protos: list[Proto] = []
        self.places: list[tuple[int, float, float]] = []

    def add(self, proto: Proto) -> None:
        """Add a piece whose outline is drawn where it lies."""
        self.places.append((len(self.protos), 0.0, 0.0))
        self.protos.append(proto)

    def add_points(self, kind: str, points: int, side: float, count: int) -> None:
        """Add the star: each point is a grid of small diamonds, in rounds about the middle."""
        tip = 360.0 / points
        diamond: _Rows = [(0.0, 0.0), (side, 0.0)]
        far = _turned([(side, 0.0)], tip)[0]
        diamond += [(side + far[0], far[1]), far]
        for point in range(points):
            rows = _turned(diamond, point * tip)
            (_, one, _, other) = rows
            base = len(self.protos)
            self.protos += [
                plain(kind, {"side": side}, rows, f"round {number}")
                for number in range(1, 2 * count)
            ]
            self.places += [
                (base + i + j, i * one[0] + j * other[0], i * one[1] + j * other[1])
                for i in range(count)
                for j in range(count)
            ]

    def plane(self, width: float, height: float) -> Plane:
        """Return the plane of these blocks; a line through their middles halves stars."""
        x, y = width / 2.0, height / 2.0
        return Plane(
            protos=tuple(self.protos),
            spots=tuple(Spot(proto, x + dx, y + dy, 0, 0) for proto, dx, dy in self.places),
            width=width,
            height=height,
            rows=1,
            columns=1,
            across=Axis(0.0, width, width / 2.0),
            along=Axis(0.0, height, height / 2.0),
        )


def _eight_points(sizes: Mapping[str, float]) -> Plane:
    side, count = sizes["side"], _diamonds_of(sizes)
    long = side * count
    half, slant = long * (1.0 + 1.0 / _ROOT2), long / _ROOT2
    block = _Block()
    block.add_points("diamond_45", 8, side, count)
    corner: _Rows = [(slant, slant), (half, slant), (half, half), (slant, half)]
    edge: _Rows = [(long, 0.0), (half, -slant), (half, slant)]
    for quarter in range(4):
        block.add(plain("square", {"side": long}, _turned(corner, 90.0 * quarter), "corner"))
    for quarter in range(4):
        rows = _turned(edge, 90.0 * quarter)
        block.add(plain("quarter_square_triangle", {"base": long * _ROOT2}, rows, "triangle"))
    return block.plane(2.0 * half, 2.0 * half)


def _small_stars(sizes: Mapping[str, float]) -> Plane:
    """Return stars whose corner squares hold small stars, and whose side triangles half stars."""
    side, count = sizes["side"], _diamonds_of(sizes)
    long = side * count
    half, slant = long * (1.0 + 1.0 / _ROOT2), long / _ROOT2
    block = _Block()
    block.add_points("diamond_45", 8, side, count)
    small = long / (2.0 + _ROOT2)
    middle = (slant + half) / 2.0
    for quarter in range(4):
        for proto in _small_star(small):
            block.add(_moved(proto, 0.0, _turned([(middle, middle)], 90.0 * quarter)[0]))
        # Cut along the diagonal of its block, which lies on the edge of the large one.
        for proto in _half_star(small):
            place = _turned([(half, 0.0)], 90.0 * quarter)[0]
            block.add(_moved(proto, 45.0 + 90.0 * quarter, place))
    return block.plane(2.0 * half, 2.0 * half)


def _moved(proto: Proto, degrees: float, place: tuple[float, ...]) -> Proto:
    rows = _turned([(x, y) for x, y, _ in proto.outline.rows()], degrees)
    rows = [(row[0] + place[0], row[1] + place[1]) for row in rows]
    return plain(proto.kind, proto.values, rows, proto.role)


def _small_star(side: float) -> list[Proto]:
    """Return a star of eight diamonds in its block, about its middle, counter-clockwise."""
    half, slant = side * (1.0 + 1.0 / _ROOT2), side / _ROOT2
    diamond: _Rows = [(0.0, 0.0), (side, 0.0), (half, slant), (slant, slant)]
    corner: _Rows = [(slant, slant), (half, slant), (half, half), (slant, half)]
    edge: _Rows = [(side, 0.0), (half, -slant), (half, slant)]
    size, base = {"side": side}, {"base": side * _ROOT2}
    kind = "quarter_square_triangle"
    return [
        *(plain("diamond_45", size, _turned(diamond, 45.0 * k), "small star") for k in range(8)),
        *(plain("square", size, _turned(corner, 90.0 * k), "small corner") for k in range(4)),
        *(plain(kind, base, _turned(edge, 90.0 * k), "small triangle") for k in range(4)),
    ]


def _half_star(side: float) -> list[Proto]:
    """Return the half of a small star above the rising diagonal of its block."""
    whole = _small_star(side)
    diamonds, corners, edges = whole[:8], whole[8:12], whole[12:]
    half, slant = side * (1.0 + 1.0 / _ROOT2), side / _ROOT2
    cut: list[_Rows] = [
        [(slant, slant), (half, half), (slant, half)],
        [(-slant, -slant), (-half, -slant), (-half, -half)],
    ]
    base = {"base": side * _ROOT2}
    halves = [plain("quarter_square_triangle", base, rows, "small corner") for rows in cut]
    return [*diamonds[1:5], corners[1], *edges[1:3], *halves]


def _six_points(sizes: Mapping[str, float]) -> Plane:
    side, count = sizes["side"], _diamonds_of(sizes)
    long = side * count
    rise = long * _ROOT3 / 2.0
    block = _Block()
    block.add_points("diamond_60", 6, side, count)
    for x, y in _signs():
        rows: _Rows = [
            (x * long / 2.0, y * rise),
            (x * long * 1.5, y * rise),
            (x * long * 1.5, y * rise * 2.0),
            (x * long / 2.0, y * rise * 2.0),
        ]
        # A mirrored ring runs the other way.
        rows = rows if x * y > 0 else rows[::-1]
        block.add(plain("rectangle", {"width": long, "height": rise}, rows, "rectangle"))
    for x, y in _signs():
        tip: _Rows = [(0.0, y * rise * 2.0), (x * long / 2.0, y * rise)]
        block.add(_right_triangle([*tip, (x * long / 2.0, y * rise * 2.0)], x * y, "triangle"))
        notch: _Rows = [(x * long, 0.0), (x * long * 1.5, 0.0)]
        block.add(_right_triangle([*notch, (x * long * 1.5, y * rise)], x * y, "side triangle"))
    return block.plane(3.0 * long, 4.0 * rise)


def _signs() -> Iterator[tuple[int, int]]:
    yield from ((1, 1), (-1, 1), (-1, -1), (1, -1))


def _right_triangle(rows: _Rows, sense: int, role: str) -> Proto:
    """Return the prototype of a right triangle of the hand that its outline has."""
    rows = rows if sense > 0 else rows[::-1]
    xs, ys = [row[0] for row in rows], [row[1] for row in rows]
    size = {"width": max(xs) - min(xs), "height": max(ys) - min(ys)}
    made = [plain("right_triangle", {**size, "hand": hand}, rows, role) for hand in _HANDS]
    wanted = signature(made[0].outline)
    return next(each for each in made if signature(build("right_triangle", each.values)) == wanted)


_HANDS = ("right", "left")
_SIZES = {"side": "length of one side of a small diamond"}
_COUNTS = {"diamonds": (1, MAX_DIAMONDS, USUAL_DIAMONDS)}


TILINGS = (
    Tiling(
        "lone_star",
        "eight-point stars pieced of diamonds",
        "blocks of eight points, each of n rows of n 45-degree diamonds, with large squares in the "
        "corners and quarter-square triangles on the sides",
        _SIZES,
        _eight_points,
        _COUNTS,
    ),
    Tiling(
        "lone_star_with_stars",
        "eight-point stars pieced of diamonds, with small stars about them",
        "as lone_star, with a small star in place of each corner square and half a small star in "
        "place of each side triangle",
        _SIZES,
        _small_stars,
        _COUNTS,
    ),
    Tiling(
        "six_point_lone_star",
        "six-point stars pieced of diamonds",
        "blocks of six points, each of n rows of n 60-degree diamonds, completed by rectangles and "
        "right triangles",
        _SIZES,
        _six_points,
        _COUNTS,
    ),
)
