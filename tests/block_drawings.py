"""Drawings of blocks whose pieces are known, for the tests of blocks.

Each is worked by hand in units of the drawing's own grid: how many pieces of which area, largest
first, mirror images counted with their partners. The areas add up to that of the block.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Sequence

from geometry.blocks.gallery import GALLERY, GalleryBlock
from geometry.blocks.network import Drawn
from geometry.model.outline import Vertex
from geometry.model.points import Point
from geometry.model.segments import segment

Known = Sequence[tuple[int, float]]
PI, R2, R3 = math.pi, math.sqrt(2.0), math.sqrt(3.0)
POINT = 10 * math.sin(math.radians(22.5))
"""A compass point: two triangles with sides 5 and 2 and 22.5 degrees between them."""

#: By name: rows of (pieces, area of one), one row for each group; a mirror image has its own.
KNOWN: dict[str, Known] = {
    "four-patch": [(4, 1)],
    "nine-patch": [(9, 1)],
    # Four units of three rails, 3 x 1 each: 12 x 3 = 36.
    "rail-fence": [(12, 3)],
    # Logs 1,2,2,3 / 3,4,4,5 / 5,6,6,7 and the middle: 1+1, 2x2, 2x3, ... 7: 49.
    "log-cabin": [(1, 7), (2, 6), (2, 5), (2, 4), (2, 3), (2, 2), (2, 1)],
    # 1,1,3,3 / 3,3,5,5 / 5,5,7,7 and the middle: 3 + 12 + 20 + 14 = 49.
    "courthouse-steps": [(2, 7), (4, 5), (4, 3), (3, 1)],
    "double-nine-patch": [(4, 9), (45, 1)],
    "pinwheel": [(8, 2)],
    "hourglass": [(4, 4)],
    # 4 corners of two triangles, 4 sides of two rectangles: 8 x 2 + 8 x 2 + 4 = 36.
    "churn-dash": [(1, 4), (8, 2), (8, 2)],
    "shoofly": [(5, 4), (8, 2)],
    "flying-geese": [(8, 1), (16, 0.5)],
    # 4 paws of a square of 4, 8 claws of 0.5 and a square; 4 sashes of 3; the middle.
    "bear-paw": [(4, 4), (4, 3), (5, 1), (32, 0.5)],
    "jacobs-ladder": [(8, 2), (20, 1)],
    # 4 corners of two halves, 4 sides of a half and two quarters, 4 quarters in the middle.
    "card-trick": [(12, 2), (12, 1)],
    # 2 x 4.5 + 2 x 3 + 2 squares + 8 cells of two halves = 9 + 6 + 2 + 8 = 25.
    "basket": [(2, 4.5), (2, 3), (2, 1), (16, 0.5)],
    # Rounds of 4 triangles of 1, 2, 4, 8 about four squares of 1: 4 + 60 = 64.
    "snails-trail": [(4, 8), (4, 4), (4, 2), (4, 1), (4, 1)],
    "economy-patch": [(1, 4), (4, 2), (4, 1)],
    # Trapezoids (6 + 2) / 2 x 2 = 8.
    "spool": [(4, 8), (1, 4)],
    # Squares of 4 less a corner of 0.5, and a square of diagonal 2.
    "bow-tie": [(4, 3.5), (1, 2)],
    "snowball": [(1, 14), (4, 0.5)],
    # Trapezoids (6 + 4) / 2 x 2 = 10, each other's mirror image.
    "attic-window": [(1, 16), (1, 10), (1, 10)],
    "friendship-star": [(5, 4), (8, 2)],
    "ohio-star": [(5, 4), (16, 1)],
    "sawtooth-star": [(1, 4), (4, 1), (4, 1), (8, 0.5)],
    # Side 2 + sqrt 2: diamonds sin 45, squares 1, triangles 1/2: (2 + sqrt 2)^2 = 6 + 4 sqrt 2.
    "eight-point-star": [(4, 1), (8, R2 / 2), (4, 0.5)],
    "hexagon-flower": [(7, 1.5 * R3)],
    "tumbling-block": [(3, 2 * R3)],
    # Quarter circles of radius 1.5 in squares of side 2.
    "drunkards-path": [(4, 4 - 2.25 * PI / 4), (4, 2.25 * PI / 4)],
    # Petals of two quarter circles of radius 2: 2 (pi - 2); corners 4 - pi.
    "orange-peel": [(4, 2 * PI - 4), (8, 4 - PI)],
    # Background 36 - 25 pi / 4, blades (25 - 4) pi / 16, handle pi.
    "fan": [(1, 36 - 25 * PI / 4), (4, 21 * PI / 16), (1, PI)],
    # Corners (144 - 25 pi) / 4; sectors of 45 degrees less a point; points.
    "compass": [(4, (144 - 25 * PI) / 4), (8, 25 * PI / 8 - POINT), (8, POINT)],
}


def rows_drawn(rows: Sequence[Sequence[Sequence[float]]], *, closed: bool = False) -> list[Drawn]:
    """Return paths of points ``(x, y)`` or ``(x, y, bulge)`` as lines and arcs."""
    found = []
    for number, row in enumerate(rows):
        vertices = [Vertex(*map(float, point)) for point in row]
        if closed:
            vertices.append(vertices[0])
        for one, two in itertools.pairwise(vertices):
            part = segment(one.point, two.point, one.bulge)
            found.append(Drawn(part, number, is_ring=closed))
    return found


def drawn(block: GalleryBlock, scale: float = 1.0) -> list[Drawn]:
    """Return a block of the gallery as lines and arcs."""
    rows = [[(v.x * scale, v.y * scale, v.bulge) for v in path.vertices] for path in block.paths]
    return rows_drawn(rows, closed=True)


def of_gallery(name: str, scale: float = 1.0) -> list[Drawn]:
    """Return a block of the gallery by its name."""
    return drawn(GALLERY[name], scale)


def triangles(count: int, side: float = 10.0) -> list[Drawn]:
    """Return the lines of count x count squares, each in two halves: 3 count^2 + 2 count lines."""
    found: list[Drawn] = []
    for column, row in itertools.product(range(count + 1), repeat=2):
        here, right, above, beyond = (
            Point(side * (column + x), side * (row + y)) for y in (0, 1) for x in (0, 1)
        )
        ends = []
        if column < count:
            ends.append((here, right))
        if row < count:
            ends.append((here, above))
        if column < count and row < count:
            ends.append((here, beyond) if (column + row) % 2 else (right, above))
        found += [Drawn(segment(*each, 0.0), len(found) + at) for at, each in enumerate(ends)]
    return found


def dirty(drawing: Sequence[Drawn], off: float, rng: random.Random) -> list[Drawn]:
    """Return a drawing whose ends are off, with doubled lines and dots."""
    found = []
    for number, (part, *_) in enumerate(drawing):
        start, end = [
            Point(point.x + off * math.cos(turn), point.y + off * math.sin(turn))
            for point in (part.start, part.end)
            for turn in [rng.uniform(0, math.tau)]
        ]
        found.append(Drawn(segment(start, end, part.bulge), number))
        if number % 5 == 0:
            found.append(Drawn(part, len(drawing) + number))
    for _ in range(5):
        x, y = rng.uniform(5, 95), rng.uniform(5, 95)
        found += rows_drawn([[(x - 0.2, y, 1), (x + 0.2, y, 1), (x - 0.2, y)]])
    return found
