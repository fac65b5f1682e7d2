# ruff: noqa: S311 - drawings, no secrets
"""Orders of sewing on foundations against brute force over all orders, on random blocks."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from functools import cache

import pytest
import shapely
from shapely.ops import split

from geometry.blocks.block import DrawnBlock, read_block
from geometry.blocks.carriers import adjacency_of
from geometry.blocks.foundation import sewing_order
from geometry.blocks.gallery import GALLERY
from geometry.blocks.sections import find_sections
from tests.block_drawings import of_gallery, rows_drawn

S = 100.0
NEAR = 1e-3


def random_block(seed: int) -> list[shapely.Polygon]:
    """Return 3 to 8 pieces of a square: cut by random lines one at a time, or a mosaic."""
    rng = random.Random(seed)
    count = rng.randint(3, 8)
    square = shapely.box(0, 0, S, S)
    if seed % 3 == 0:
        at = [(rng.uniform(5, 95), rng.uniform(5, 95)) for _ in range(count)]
        points = shapely.MultiPoint(at)
        cells = shapely.get_parts(shapely.voronoi_polygons(points, extend_to=square))
        return [each for each in shapely.intersection(cells, square).tolist() if each.area > 1.0]
    pieces = [square]
    for _ in range(200):
        if len(pieces) == count:
            break
        number = rng.randrange(len(pieces))
        one = pieces[number]
        ends = [one.boundary.interpolate(rng.random(), normalized=True) for _ in range(2)]
        parts = shapely.get_parts(split(one, shapely.LineString(ends))).tolist()
        if len(parts) == 2 and min(part.area for part in parts) > 150.0:
            pieces[number : number + 1] = parts
    return pieces


def block_of(pieces: Sequence[shapely.Polygon]) -> DrawnBlock:
    lines = shapely.union_all([piece.boundary for piece in pieces], grid_size=1e-9)
    rows = [list(each.coords) for each in shapely.get_parts(shapely.line_merge(lines))]
    return read_block(rows_drawn(rows), tolerance=NEAR)


def brute(pieces: Sequence[shapely.Polygon]) -> bool:
    """Return whether any order sews all pieces: each along one line, all others on its other side.

    Every order is tried; orders that begin with the same pieces share their beginning.
    """

    @cache
    def can_end(sewn: frozenset[int]) -> bool:
        if len(sewn) == 1:
            return True
        return any(fits(piece, sewn - {piece}) and can_end(sewn - {piece}) for piece in sewn)

    def fits(piece: int, before: frozenset[int]) -> bool:
        whole = shapely.union_all([shapely.buffer(pieces[each], 1e-7) for each in before])
        seam = shapely.intersection(pieces[piece].boundary, whole)
        parts = [p for p in shapely.get_parts(seam).tolist() if p.length > 0.01]
        if not parts:
            return False
        longest = max(parts, key=lambda part: part.length)
        (ax, ay), (bx, by) = longest.coords[0], longest.coords[-1]
        length = math.hypot(bx - ax, by - ay)
        if length < NEAR:
            return False

        def off(point: Sequence[float]) -> float:
            return float((bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)) / length

        if any(abs(off(point)) > NEAR for part in parts for point in part.coords):
            return False
        own = [off(point) for point in pieces[piece].exterior.coords]
        others = [off(p) for each in before for p in pieces[each].exterior.coords]
        return (min(own) > -NEAR and max(others) < NEAR) or (
            max(own) < NEAR and min(others) > -NEAR
        )

    return can_end(frozenset(range(len(pieces))))


def check(seed: int) -> bool:
    pieces = random_block(seed)
    found = block_of(pieces)
    assert len(found.sides) == len(pieces)
    adjacency = adjacency_of(found)
    order = sewing_order(adjacency, adjacency.all_pieces)
    outlines = [found.outline_of(at) for at in range(len(pieces))]
    drawn = [shapely.Polygon([v[:2] for v in each.vertices]) for each in outlines]
    assert (order is not None) == brute(drawn), seed
    if order is not None:
        assert sorted(order) == list(range(len(pieces)))
    sewing = find_sections(adjacency)
    assert (len(sewing.sections) == 1) == (order is not None)
    assert sorted(piece for each in sewing.sections for piece in each.pieces) == sorted(
        range(len(pieces))
    )
    return order is not None


def test_orders_agree_with_brute_force() -> None:
    found = [check(seed) for seed in range(30)]
    assert 5 < sum(found) < 25


@pytest.mark.long
def test_orders_of_three_hundred_blocks_agree_with_brute_force() -> None:
    found = [check(seed) for seed in range(300)]
    assert 50 < sum(found) < 250


#: Sections, joins that are set in, and whether no fewer are proved, as worked out by hand: rows of
#: squares cannot turn a corner; a log cabin is sewn round and round; a mitre is set in.
BY_HAND = {
    "four-patch": (2, 0),
    "nine-patch": (3, 0),
    "log-cabin": (1, 0),
    "courthouse-steps": (1, 0),
    "economy-patch": (1, 0),
    "snowball": (1, 0),
    "hourglass": (2, 0),
    "pinwheel": (2, 0),
    "flying-geese": (2, 0),
    "rail-fence": (2, 0),
    "shoofly": (3, 0),
    # The middle goes with one unit of a goose and two points; the other one, and the outer rows.
    "sawtooth-star": (4, 0),
    "attic-window": (2, 1),
    "tumbling-block": (2, 1),
}


@pytest.mark.parametrize("name", list(BY_HAND))
def test_sections_by_hand(name: str) -> None:
    sections, set_in = BY_HAND[name]
    assert name in GALLERY
    sewing = find_sections(adjacency_of(read_block(of_gallery(name, 30.0), tolerance=0.1)))
    assert len(sewing.sections) == sections
    assert len(sewing.joins) == sections - 1
    assert sum(join.kind == "set-in" for join in sewing.joins) == set_in
    assert sewing.is_fewest


def test_arcs_are_sewn_as_curves() -> None:
    """Four units of a quarter circle each, in two rows: 4 foundations of one or two pieces."""
    found = read_block(of_gallery("drunkards-path", 30.0), tolerance=0.1)
    sewing = find_sections(adjacency_of(found))
    assert {join.kind for join in sewing.joins} == {"straight", "curved"}
