"""Counts of every tiling against the same plane drawn another way, by shapely.

Here each plane is built from unit vectors, intersections and discs on oblique lattices; the
planner builds it from corner tables on rectangular periods. Both must find the same pieces.
"""

import itertools
import math
import random
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
import shapely
from shapely import affinity
from shapely.geometry import MultiPoint, Point, Polygon, box

from geometry.measure import area
from geometry.planning.assembly import Assembly, assemble, turned
from geometry.planning.frames import Edge
from geometry.planning.pieces import needs
from geometry.planning.tilings import TILINGS
from tests.short_form import short_form

Vector = tuple[float, float]
EDGES: tuple[Edge, ...] = ("whole", "trimmed", "filled")


@dataclass(frozen=True)
class Drawn:
    """Pieces of one cell with the block that each belongs to, and the lattice they repeat on."""

    cell: list[tuple[str, Polygon, Polygon]]
    first: Vector
    second: Vector


def unit(degrees: float, length: float) -> Vector:
    return length * math.cos(math.radians(degrees)), length * math.sin(math.radians(degrees))


def plus(*vectors: Vector) -> Vector:
    return sum(v[0] for v in vectors), sum(v[1] for v in vectors)


def alone(kind: str, polygon: Polygon) -> tuple[str, Polygon, Polygon]:
    return kind, polygon, polygon


def regular(sides: int, side: float, start: float) -> Polygon:
    radius = side / (2 * math.sin(math.pi / sides))
    return Polygon([unit(start + 360 / sides * k, radius) for k in range(sides)])


def rhombus(a: Vector, b: Vector, at: Vector = (0.0, 0.0)) -> Polygon:
    return Polygon([at, plus(at, a), plus(at, a, b), plus(at, b)])


def squares(s: float) -> Drawn:
    return Drawn([alone("square", box(0, 0, s, s))], (s, 0), (0, s))


def rectangles(s: float) -> Drawn:
    return Drawn([alone("rectangle", box(0, 0, s, 0.6 * s))], (s, 0), (0, 0.6 * s))


def octagons(s: float) -> Drawn:
    flat = s * (1 + math.sqrt(2))
    cell = box(-flat / 2, -flat / 2, flat / 2, flat / 2)
    octagon = affinity.translate(cell.intersection(affinity.rotate(cell, 45)), flat / 2, flat / 2)
    square = affinity.rotate(box(-s / 2, -s / 2, s / 2, s / 2), 45)
    return Drawn([alone("octagon", octagon), alone("square", square)], (flat, 0), (0, flat))


def eight_point_stars(s: float) -> Drawn:
    block = s * (2 + math.sqrt(2))
    whole = box(-block / 2, -block / 2, block / 2, block / 2)
    ray = [unit(45 * k, s) for k in range(9)]
    cell = [("diamond_45", rhombus(ray[k], ray[k + 1]), whole) for k in range(8)]
    for k in range(0, 8, 2):
        cell.append(("square", rhombus(ray[k], ray[(k + 2) % 8], ray[k + 1]), whole))
        tips = [ray[k], plus(ray[k], ray[k + 1]), plus(ray[k], ray[(k + 7) % 8])]
        cell.append(("quarter_square_triangle", MultiPoint(tips).convex_hull, whole))
    return Drawn(shifted(cell, block / 2, block / 2), (block, 0), (0, block))


def grids(kind: str, points: int, s: float, whole: Polygon) -> list[tuple[str, Polygon, Polygon]]:
    """Return the small diamonds of a star, two along each edge of its points."""
    ray = [unit(360 / points * k, s) for k in range(points + 1)]
    return [
        (kind, rhombus(a, b, (i * a[0] + j * b[0], i * a[1] + j * b[1])), whole)
        for a, b in itertools.pairwise(ray)
        for i in range(2)
        for j in range(2)
    ]


def lone_stars(s: float) -> Drawn:
    big = eight_point_stars(2 * s)
    block = big.first[0]
    whole = box(-block / 2, -block / 2, block / 2, block / 2)
    small = shifted(grids("diamond_45", 8, s, whole), block / 2, block / 2)
    return Drawn(
        small + [each for each in big.cell if each[0] != "diamond_45"], big.first, big.second
    )


def lone_stars_with_stars(s: float) -> Drawn:
    plain = lone_stars(s)
    small = eight_point_stars(2 * s / (2 + math.sqrt(2)))
    width = small.first[0]
    cell = [each for each in plain.cell if each[0] == "diamond_45"]
    for kind, filler, whole in plain.cell:
        if kind == "diamond_45":
            continue
        x, y = filler.centroid.x, filler.centroid.y
        turn = 0
        if kind == "quarter_square_triangle":
            # About the middle of the long side, which is on the block's edge.
            turn = 45
            middle = plain.first[0] / 2
            (x, y) = max(
                ((mid.x, mid.y) for mid in (_middle(filler, k) for k in range(3))),
                key=lambda each: max(abs(each[0] - middle), abs(each[1] - middle)),
            )
        for name, piece, _ in small.cell:
            here = affinity.rotate(piece, turn, origin=(width / 2, width / 2))
            here = affinity.translate(here, x - width / 2, y - width / 2)
            share = here.intersection(filler)
            if share.area < 1e-6 * here.area:
                continue
            is_cut = share.area < 0.9 * here.area
            cell.append(("quarter_square_triangle" if is_cut else name, share, whole))
    return Drawn(cell, plain.first, plain.second)


def _middle(triangle: Polygon, side: int) -> Point:
    (ax, ay), (bx, by) = triangle.exterior.coords[side : side + 2]
    return Point((ax + bx) / 2, (ay + by) / 2)


def six_point_lone_stars(s: float) -> Drawn:
    long, rise = 2 * s, s * math.sqrt(3)
    whole = box(-1.5 * long, -2 * rise, 1.5 * long, 2 * rise)
    cell = grids("diamond_60", 6, s, whole)
    rest = whole.difference(shapely.union_all([piece.buffer(1e-9) for _, piece, _ in cell]))
    corner = box(long / 2, rise, 1.5 * long, 2 * rise)
    for x in (-1, 1):
        for y in (-1, 1):
            rectangle = affinity.scale(corner, x, y, origin=(0, 0))
            cell.append(("rectangle", rectangle, whole))
            rest = rest.difference(rectangle)
    middle = box(-2 * long, 0, 2 * long, 3 * rise)
    for half in (rest.intersection(middle), rest.difference(middle)):
        cell += [
            ("right_triangle", piece, whole) for piece in half.geoms if piece.area > s * s / 100
        ]
    return Drawn(shifted(cell, 1.5 * long, 2 * rise), (3 * long, 0), (0, 4 * rise))


def shifted(
    cell: list[tuple[str, Polygon, Polygon]], x: float, y: float
) -> list[tuple[str, Polygon, Polygon]]:
    return [
        (kind, affinity.translate(piece, x, y), affinity.translate(block, x, y))
        for kind, piece, block in cell
    ]


def apple_cores(length: float) -> Drawn:
    c = length / math.sqrt(2)

    def disc(x: float, y: float) -> Polygon:
        return Point(x, y).buffer(length / 2, quad_segs=64)

    upright = disc(0, 0).difference(disc(c, 0)).difference(disc(-c, 0))
    level = affinity.rotate(upright, 90, origin=(0, 0))
    square = box(-c / 2, -c / 2, c / 2, c / 2)
    cell = [*shifted([("apple_core", upright, square)], c / 2, c / 2)]
    cell += shifted([("apple_core", level, square)], 3 * c / 2, c / 2)
    return Drawn(cell, (2 * c, 0), (c, c))


def triangles(s: float) -> Drawn:
    along, up = unit(0, s), unit(60, s)
    over = Polygon([(0, 0), along, up])
    under = Polygon([along, plus(along, up), up])
    return Drawn([alone("triangle", over), alone("triangle", under)], along, up)


def hexagons(s: float) -> Drawn:
    cell = shifted([alone("hexagon", regular(6, s, 90))], s * math.sqrt(3) / 2, 0)
    return Drawn(cell, unit(0, s * math.sqrt(3)), unit(60, s * math.sqrt(3)))


def diamonds(tip: float) -> Callable[[float], Drawn]:
    def drawn(s: float) -> Drawn:
        right, left = unit(90 - tip / 2, s), unit(90 + tip / 2, s)
        lowest = (s * math.sin(math.radians(tip / 2)), -s * math.cos(math.radians(tip / 2)))
        return Drawn([alone(f"diamond_{tip:g}", rhombus(right, left, lowest))], right, left)

    return drawn


def tumbling_blocks(s: float) -> Drawn:
    whole = regular(6, s, 90)
    cell = [("diamond_60", rhombus(unit(a, s), unit(a + 120, s)), whole) for a in (30, 150, 270)]
    return Drawn(shifted(cell, s * math.sqrt(3) / 2, 0), *hexagon_steps(s))


def hexagon_steps(s: float) -> tuple[Vector, Vector]:
    return unit(0, s * math.sqrt(3)), unit(60, s * math.sqrt(3))


def kites(s: float) -> Drawn:
    whole = regular(6, s, 90)
    inner = s * math.sqrt(3) / 2
    cell = [
        ("kite", Polygon([(0, 0), unit(a - 30, inner), unit(a, s), unit(a + 30, inner)]), whole)
        for a in range(30, 390, 60)
    ]
    return Drawn(shifted(cell, s * math.sqrt(3) / 2, 0), *hexagon_steps(s))


def half_hexagons(s: float) -> Drawn:
    flat = regular(6, s, 0)
    upper, lower = (flat.intersection(box(-9 * s, y, 9 * s, y + 9 * s)) for y in (0, -9 * s))
    step = s * math.sqrt(3)
    cell = [alone("half_hexagon", upper), alone("half_hexagon", lower)]
    return Drawn(cell, unit(30, step), unit(90, step))


def hexagons_triangles(s: float) -> Drawn:
    corner = (s, 0.0)
    cell = [alone("hexagon", regular(6, s, 0))]
    for a in (60, 240):
        tips = [corner, plus(corner, unit(a, s)), plus(corner, unit(a + 60, s))]
        cell.append(alone("triangle", Polygon(tips)))
    return Drawn(cell, unit(0, 2 * s), unit(60, 2 * s))


def six_point_stars(s: float) -> Drawn:
    ray = [unit(60 * k, s) for k in range(7)]
    whole = regular(6, s * math.sqrt(3), 90)
    cell = [("diamond_60", rhombus(ray[k], ray[k + 1]), whole) for k in range(6)]
    for k in range(3):
        cell.append(alone("diamond_60", rhombus(ray[(k - 1) % 6], ray[k + 1], ray[k])))
    return Drawn(shifted(cell, 1.5 * s, 0), unit(0, 3 * s), unit(60, 3 * s))


def clamshells(w: float) -> Drawn:
    r = w / 2

    def disc(x: float, y: float) -> Polygon:
        return Point(x, y).buffer(r, quad_segs=64)

    lower = box(-r, -r, r, 0).difference(disc(-r, -r)).difference(disc(r, -r))
    clam = disc(0, 0).intersection(box(-r, 0, r, r)).union(lower)
    return Drawn(shifted([alone("clamshell", clam)], r, 0), (w, 0), (r, r))


PLANES: dict[str, tuple[Callable[[float], Drawn], str]] = {
    "square": (squares, "side"),
    "rectangle": (rectangles, "width"),
    "octagon_square": (octagons, "side"),
    "eight_point_star": (eight_point_stars, "side"),
    "lone_star": (lone_stars, "side"),
    "lone_star_with_stars": (lone_stars_with_stars, "side"),
    "six_point_lone_star": (six_point_lone_stars, "side"),
    "apple_core": (apple_cores, "length"),
    "triangle": (triangles, "side"),
    "hexagon": (hexagons, "side"),
    "diamond_60": (diamonds(60), "side"),
    "diamond_45": (diamonds(45), "side"),
    "tumbling_blocks": (tumbling_blocks, "side"),
    "half_hexagon": (half_hexagons, "side"),
    "hexagon_triangle": (hexagons_triangles, "side"),
    "kite": (kites, "side"),
    "six_point_star": (six_point_stars, "side"),
    "clamshell": (clamshells, "width"),
    "hexagon_flower": (hexagons, "side"),
}
#: Squares, rows of points, two kinds, three turns of one, stars, arcs.
SOME_PLANES = {
    "square", "half_hexagon", "hexagon_triangle", "tumbling_blocks", "six_point_star", "apple_core",
}  # fmt: skip


def counted(drawn: Drawn, assembly: Assembly, tolerance: float) -> Counter[tuple[str, str]]:
    """Count pieces by kind and part inside the assembly's frame, edge by edge as it says."""
    across, along = assembly.across, assembly.along
    frame = box(across.low, along.low, across.high, along.high)
    found: Counter[tuple[str, str]] = Counter()
    for kind, piece, block in repeated(drawn, frame):
        share = shapely.intersection(piece, frame).area / piece.area
        crossed = []
        outside = False
        for edge, low, high in ((across.edge, 0, 2), (along.edge, 1, 3)):
            looked = block if edge == "whole" else piece
            over = (
                looked.bounds[low] < frame.bounds[low] - 1e-5
                or looked.bounds[high] > frame.bounds[high] + 1e-5
            )
            outside = outside or (edge == "whole" and over)
            crossed += [edge] if over and edge != "whole" else []
        # A piece that bulges over a whole edge is there all the same; what counts is its block.
        if outside or share < tolerance:
            continue
        part = "trimmed" if "trimmed" in crossed else "half" if crossed else "whole"
        found[kind, part] += 1
    return found


def repeated(drawn: Drawn, frame: Polygon) -> Iterator[tuple[str, Polygon, Polygon]]:
    (ax, ay), (bx, by) = drawn.first, drawn.second
    size = ax * by - ay * bx
    corners = list(frame.exterior.coords)
    firsts = [(x * by - y * bx) / size for x, y in corners]
    seconds = [(ax * y - ay * x) / size for x, y in corners]
    for m in range(math.floor(min(firsts)) - 4, math.ceil(max(firsts)) + 5):
        for n in range(math.floor(min(seconds)) - 4, math.ceil(max(seconds)) + 5):
            x, y = m * ax + n * bx, m * ay + n * by
            box_ = frame.bounds
            if not (box_[0] - 3 * span(drawn) < x < box_[2] + 3 * span(drawn)):
                continue
            yield from shifted(drawn.cell, x, y)


def span(drawn: Drawn) -> float:
    return max(math.hypot(*drawn.first), math.hypot(*drawn.second))


def sizes_of(name: str, size: float) -> dict[str, float]:
    if name == "rectangle":
        return {"width": size, "height": 0.6 * size}
    return {PLANES[name][1]: size} | ({"diamonds": 2} if "lone_star" in name else {})


def agree(name: str, draws: random.Random) -> None:
    size = draws.uniform(20.0, 90.0)
    sides, ends = draws.choice(EDGES), draws.choice(EDGES)
    width, length = (draws.uniform(2.0, 7.0) * size for _ in range(2))
    plane = TILINGS[name].draw(sizes_of(name, size))
    made = assemble(plane, width, length, sides=sides, ends=ends)
    ours: Counter[tuple[str, str]] = Counter()
    for piece in made.placed:
        ours[plane.protos[piece.proto].kind, piece.part] += 1
    other = counted(PLANES[name][0](size), made, 1e-8)
    assert ours == other, (size, width, length, sides, ends)
    # A whole edge reaches the size with its outermost points, the others with a straight line.
    assert made.bounds.width >= width - 1e-5
    assert made.bounds.height >= length - 1e-5
    whole = sum(area(made.outline(piece)) for piece in made.placed)
    if sides == ends == "filled":
        assert whole == pytest.approx(made.bounds.width * made.bounds.height, rel=1e-9)
    on_side = assemble(turned(plane), length, width, sides=ends, ends=sides)
    assert Counter(p.part for p in on_side.placed) == Counter(p.part for p in made.placed)


def test_every_tiling_is_drawn_a_second_time() -> None:
    assert set(PLANES) == set(TILINGS)


@pytest.mark.parametrize("name", short_form(PLANES, SOME_PLANES))
def test_counts_agree_on_some_sizes(name: str) -> None:
    draws = random.Random(name)  # noqa: S311 - sizes, not secrets
    # The many pieces of pieced stars take longer.
    for _ in range(3 if "star" in name else 8):
        agree(name, draws)


@pytest.mark.long
@pytest.mark.timeout(1200)
@pytest.mark.parametrize("name", PLANES)
def test_counts_agree_on_two_hundred_sizes(name: str) -> None:
    draws = random.Random(f"two hundred {name}")  # noqa: S311 - as above
    for _ in range(200):
        agree(name, draws)


@pytest.mark.parametrize("name", short_form(PLANES, SOME_PLANES))
def test_dents_are_as_deep_as_told(name: str) -> None:
    """Walk a cord round the inside of a whole edge: how far in must it go to be all cloth?"""
    plane = TILINGS[name].draw(sizes_of(name, 50.0))
    made = assemble(plane, 400.0, 400.0, sides="whole", ends="whole")
    drawn = PLANES[name][0](50.0)
    frame = box(made.across.low, made.along.low, made.across.high, made.along.high)
    inside = [
        piece
        for _, piece, block in repeated(drawn, frame)
        if frame.buffer(1e-5).covers(box(*block.bounds))
    ]
    top = shapely.union_all([piece.buffer(1e-6) for piece in inside])
    left, bottom, right, upper = top.bounds
    for axis, teeth in ((plane.across, "across"), (plane.along, "along")):
        depth = axis.teeth
        # The middle of the quilt only: corners belong to both edges.
        if teeth == "across":
            strip = box(left, bottom + 120, left + depth + 1e-3, upper - 120)
            beyond = box(left + depth + 1e-3, bottom + 120, left + depth + 20, upper - 120)
        else:
            strip = box(left + 120, bottom, right - 120, bottom + depth + 1e-3)
            beyond = box(left + 120, bottom + depth + 1e-3, right - 120, bottom + depth + 20)
        assert beyond.difference(top).area == pytest.approx(0.0, abs=0.5)
        if depth > 0:
            assert strip.difference(top).area > 1.0


@pytest.mark.parametrize("name", PLANES)
def test_pieces_are_the_kinds_that_they_are_called(name: str) -> None:
    """What a plan names from the catalogue has the very area of what lies in the quilt."""
    plane = TILINGS[name].draw(sizes_of(name, 40.0))
    made = assemble(plane, 300.0, 260.0, sides="filled", ends="filled")
    found = needs(made, ["one"] * len(made.placed))
    assert sum(need.count for need in found) == len(made.placed)
    named = sum(area(need.shape.outline) * need.count for need in found)
    assert named == pytest.approx(made.bounds.width * made.bounds.height, rel=1e-9)
