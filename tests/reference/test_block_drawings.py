# ruff: noqa: S311 - drawings, no secrets
"""Drawings of blocks beside the gallery: grids, circles, stars by lines, mosaics, dirty ones."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from typing import Any

import pytest
import shapely

from geometry.blocks import drawing as finding
from geometry.blocks.block import DrawnBlock, read_block
from geometry.blocks.gallery import GALLERY
from geometry.errors import GeometryError, GeometryFaults
from geometry.measure import area, flattened
from tests.block_drawings import KNOWN, dirty, of_gallery, rows_drawn, triangles

Row = Sequence[Sequence[float]]
S = 120.0
FRAME: list[Row] = [[(0, 0), (S, 0), (S, S), (0, S), (0, 0)]]
HALF = math.tan(math.pi / 4)
"""The bulge of half a circle."""


def grid(columns: int, rows: int) -> list[Row]:
    found: list[Row] = [[(S * at / columns, 0), (S * at / columns, S)] for at in range(1, columns)]
    found += [[(0, S * at / rows), (S, S * at / rows)] for at in range(1, rows)]
    return found


def circle(x: float, y: float, radius: float) -> Row:
    return [(x - radius, y, HALF), (x + radius, y, HALF), (x - radius, y)]


def star(points: int, radius: float) -> list[Row]:
    """Return a regular polygon and the lines from its middle to its corners."""
    corners = [
        (radius * math.cos(math.tau * at / points), radius * math.sin(math.tau * at / points))
        for at in range(points)
    ]
    return [[*corners, corners[0]], *([(0, 0), corner] for corner in corners)]


LENS = 2 * 2500 * math.acos(0.5) - 25 * math.sqrt(7500)
"""Common area of two circles of radius 50 at a distance of 50:
2 r^2 acos(d / 2r) - d / 2 sqrt(4 r^2 - d^2)."""
DISC = 2500 * math.pi
#: Lines, and the areas of the pieces; hand arithmetic in the comments.
DRAWINGS: dict[str, tuple[list[Row], list[float]]] = {
    "a square": (FRAME, [S * S]),
    "two by two": (FRAME + grid(2, 2), [S * S / 4] * 4),
    "three by five": (FRAME + grid(3, 5), [S * S / 15] * 15),
    "twelve by twelve": (FRAME + grid(12, 12), [S * S / 144] * 144),
    "both diagonals": ([*FRAME, [(0, 0), (S, S)], [(S, 0), (0, S)]], [S * S / 4] * 4),
    # A grid of four and both diagonals: eight triangles.
    "eight triangles": (
        FRAME + grid(2, 2) + [[(0, 0), (S, S)], [(S, 0), (0, S)]],
        [S * S / 8] * 8,
    ),
    # Thirds of one side to the opposite corner: three triangles and half the square.
    "thirds": (
        [*FRAME, [(0, 0), (S, S / 3)], [(0, 0), (S, 2 * S / 3)], [(0, 0), (S, S)]],
        [S * S / 6] * 3 + [S * S / 2],
    ),
    "a hexagon in six": (star(6, 60), [math.sqrt(3) / 4 * 3600] * 6),
    "an octagon in eight": (star(8, 60), [3600 / 2 * math.sin(math.tau / 8)] * 8),
    "a polygon in twenty-four": (star(24, 60), [1800 * math.sin(math.tau / 24)] * 24),
    "a circle in a square": (
        [*FRAME, circle(S / 2, S / 2, 30)],
        [S * S - 900 * math.pi, 900 * math.pi],
    ),
    "a ring": ([circle(0, 0, 50), circle(0, 0, 30)], [1600 * math.pi, 900 * math.pi]),
    "overlapping circles": (
        [circle(0, 0, 50), circle(50, 0, 50)],
        [LENS, DISC - LENS, DISC - LENS],
    ),
    "half a circle": ([[(0, 0), (100, 0, HALF), (0, 0)]], [DISC / 2]),
    # A circle about the square's lower left corner, whole: a quarter inside.
    "a circle about a corner": (
        [*FRAME, circle(0, 0, 40)],
        [S * S - 400 * math.pi, 400 * math.pi, 1200 * math.pi],
    ),
    # A square on its tip in the square: half the area, and four corners.
    "a square on its tip": (
        [*FRAME, [(S / 2, 0), (S, S / 2), (S / 2, S), (0, S / 2), (S / 2, 0)]],
        [S * S / 2] + [S * S / 8] * 4,
    ),
    # Lines at a third of both directions and back: nine parallelograms of a sheared grid.
    "parallelograms": (
        [[(a, 0), (a + 40, 90)] for a in (0, 30, 60, 90)]
        + [[(4 * b / 9, b), (4 * b / 9 + 90, b)] for b in (0, 30, 60, 90)],
        [900.0] * 9,
    ),
    # A line that meets an arc as its tangent: a half circle on a square.
    "a door": (
        [[(0, 0), (60, 0), (60, 60, HALF), (0, 60), (0, 0)], [(0, 60), (60, 60)]],
        [3600.0, 450 * math.pi],
    ),
}


def check(found: DrawnBlock, areas: Sequence[float], near: float = 1e-6) -> None:
    faces = sorted(face.area for face in found.found.faces)
    assert faces == [pytest.approx(each, rel=near) for each in sorted(areas)]
    assert math.fsum(faces) == pytest.approx(found.found.outer.area, rel=1e-6)


@pytest.mark.parametrize("name", list(DRAWINGS))
def test_known_areas(name: str) -> None:
    rows, areas = DRAWINGS[name]
    found = read_block(rows_drawn(rows), tolerance=0.1)
    check(found, areas)
    _covers(found, 0.1)


@pytest.mark.parametrize(("seed", "count"), [(n, (9, 25, 60, 120, 200)[n % 5]) for n in range(12)])
def test_mosaics(seed: int, count: int) -> None:
    """Voronoi cells of random points, clipped to a square: faces as GEOS makes them."""
    rng = random.Random(seed)
    points = shapely.MultiPoint([(rng.uniform(0, S), rng.uniform(0, S)) for _ in range(count)])
    square = shapely.box(0, 0, S, S)
    cells = shapely.get_parts(shapely.voronoi_polygons(points, extend_to=square))
    kept = [each for each in shapely.intersection(cells, square).tolist() if each.area > 0]
    # One line for each edge, so that nothing is drawn twice.
    edges = shapely.get_parts(shapely.line_merge(shapely.union_all(shapely.boundary(kept))))
    rows = [list(each.coords) for each in edges]
    found = read_block(rows_drawn(rows), tolerance=1e-4)
    check(found, [each.area for each in kept])
    assert len(found.found.faces) == len(kept)
    _covers(found, 1e-4)


@pytest.mark.parametrize("name", list(GALLERY))
def test_a_dirty_drawing_has_the_same_pieces(name: str) -> None:
    """Ends off by 0.15 mm, so open by up to 0.3; areas off by 0.5 mm2 per mm of rim at most."""
    block = GALLERY[name]
    scale = 200.0 / block.width
    found = read_block(dirty(of_gallery(name, scale), 0.15, random.Random(7)), tolerance=0.5)
    known = sorted(size * scale**2 for count, size in KNOWN[name] for _ in range(count))
    faces = sorted(found.found.faces, key=lambda face: face.area)
    assert len(faces) == len(known)
    for face, size in zip(faces, known, strict=True):
        rim = math.fsum(part.length for part in face.ring.outline.segments)
        assert abs(face.area - size) < 0.5 * rim
    kinds = {repair.kind for repair in found.found.repairs}
    assert "gap" in kinds
    assert len(found.found.repairs) > len(known)
    _covers(found, 0.5)


def _covers(found: DrawnBlock, tolerance: float) -> None:
    """Check that templates, put in place, cover the block to within the tolerance."""
    placed = [
        shapely.Polygon(flattened(member.move.outline(group.outline), 0.01))
        for group in found.groups
        for member in group.members
    ]
    whole = shapely.Polygon(flattened(found.outline, 0.01))
    together = shapely.union_all([shapely.buffer(each, tolerance) for each in placed])
    assert shapely.area(shapely.difference(whole, together)) < 1e-6
    assert all(
        shapely.area(shapely.difference(each, shapely.buffer(whole, 1.1 * tolerance))) < 1e-6
        for each in placed
    )


def test_shared_sides_need_not_be_split_alike() -> None:
    """One rectangle above two: their common corner lies inside the first one's side."""
    rows: list[Row] = [
        [(0, 50), (100, 50), (100, 100), (0, 100)],
        [(0, 0), (40, 0), (40, 49.8), (0, 49.8)],
        [(40.1, 0), (100, 0), (100, 50.2), (40.1, 50.2)],
    ]
    found = read_block(rows_drawn(rows, closed=True), tolerance=0.5)
    assert len(found.found.faces) == 3
    assert found.found.outer.area == pytest.approx(10_000, rel=0.01)


def test_what_cannot_be_repaired_is_refused_with_every_place() -> None:
    rows: list[Row] = [*FRAME, [(0, 40), (50, 40)], [(0, 80), (50, 80)]]
    with pytest.raises(GeometryError) as caught:
        read_block(rows_drawn(rows), tolerance=0.5)
    assert "(50.00, 40.00)" in caught.value.message
    assert "(50.00, 80.00)" in caught.value.message


def test_only_places_that_are_named_are_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """A refusal names 20 places, and each takes a look at the whole drawing: 200 take too long."""
    named = []
    whole = finding._loose_error

    def counted(*how: Any) -> GeometryError:
        named.append(how)
        return whole(*how)

    monkeypatch.setattr(finding, "_loose_error", counted)
    rows: list[Row] = [*FRAME, *([(5, y / 2), (50, y / 2)] for y in range(10, 210))]
    with pytest.raises(GeometryFaults) as caught:
        read_block(rows_drawn(rows), tolerance=0.1)
    assert len(caught.value.faults) == len(named) == 20


@pytest.mark.parametrize(("name", "seed"), [("jacobs-ladder", 3), ("orange-peel", 7)])
def test_lines_that_almost_coincide_at_a_corner_are_told_apart(name: str, seed: int) -> None:
    """One line passes a corner 0.1 um beside it; an arc crosses a line again 0.02 mm from one.

    Both were taken for lines that enclose nothing, since their order about the corner was wrong.
    """
    found = read_block(dirty(of_gallery(name, 30.0), 0.15, random.Random(seed)), tolerance=0.5)
    assert len(found.found.faces) == sum(count for count, _ in KNOWN[name])


def test_the_order_of_drawing_does_not_matter() -> None:
    drawing = dirty(of_gallery("bear-paw", 30.0), 0.1, random.Random(3))
    first = read_block(drawing, tolerance=0.5)
    mixed = list(drawing)
    random.Random(4).shuffle(mixed)
    second = read_block(mixed, tolerance=0.5)
    areas = [sorted(face.area for face in each.found.faces) for each in (first, second)]
    assert areas[0] == pytest.approx(areas[1], rel=0.01)
    counts = [[len(group.members) for group in each.groups] for each in (first, second)]
    assert counts[0] == counts[1]
    assert area(first.outline) == pytest.approx(area(second.outline), rel=0.01)


def test_a_path_that_comes_back_to_a_corner_is_joined_there() -> None:
    """Half squares of 10 mm drawn in one stroke, ends off by 0.15 mm: 2 x 12 x 12 triangles.

    Corners of one path stay apart only where a short way along it leads from one to the other; here
    such a way is 20 mm long.
    """
    clean = triangles(12)
    found = read_block(
        [each._replace(path=0) for each in dirty(clean, 0.15, random.Random(5))], tolerance=0.5
    )
    assert len(found.found.faces) == 2 * 12 * 12
    assert [len(group.members) for group in found.groups] == [2 * 12 * 12]
