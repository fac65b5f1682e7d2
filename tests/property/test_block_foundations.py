# ruff: noqa: S311 - drawings, no secrets
"""Orders of sewing on foundations against brute force over all orders, on random blocks."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import combinations

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


def fewest(pieces: Sequence[shapely.Polygon]) -> int:
    """Return the fewest parts that can each be sewn in some order; all partitions are tried."""

    @cache
    def is_sewn(part: frozenset[int]) -> bool:
        return brute([pieces[each] for each in sorted(part)])

    def partitions(rest: tuple[int, ...]) -> Iterator[list[frozenset[int]]]:
        if not rest:
            yield []
            return
        first, others = rest[0], rest[1:]
        for size in range(len(others) + 1):
            for beside in combinations(others, size):
                left = tuple(each for each in others if each not in beside)
                for more in partitions(left):
                    yield [frozenset({first, *beside}), *more]

    every = partitions(tuple(range(len(pieces))))
    return min(len(parts) for parts in every if all(map(is_sewn, parts)))


def test_fewest_sections_with_seams_set_in_agree_with_brute_force() -> None:
    """Mosaics, whose seams often cannot be sewn straight through."""
    tried = 0
    for seed in range(0, 120, 3):
        pieces = random_block(seed)
        if len(pieces) > 6:
            continue
        found = block_of(pieces)
        sewing = find_sections(adjacency_of(found))
        if any(join.kind == "set-in" for join in sewing.joins):
            tried += 1
            assert sewing.is_fewest
            assert len(sewing.sections) == sewing.min_sections == fewest(pieces), seed
            assert len(sewing.joins) == len(sewing.sections) - 1
    assert tried > 5


def test_an_eight_point_star_by_hand() -> None:
    """Eight diamonds about the middle, and a square or a triangle between each two at the edge.

    Sewn by straight seams alone it is not: each square and each triangle meets two diamonds along
    two lines. So it shares a foundation with at most one of them, or it is its own section: if
    both diamonds were on its foundation, the three meet in pairs along three different lines, and
    the last of the three would be sewn along two. Let diamonds lie on r foundations, as runs about
    the middle. A run of m diamonds has m - 1 inner gaps, whose pieces are sections of their own:
    8 - r of them. With the r runs these are 8 sections at least, whatever r is; and 8 are enough,
    each a diamond with the square or triangle on its left. They are joined by 7 seams.
    """
    found = read_block(of_gallery("eight-point-star", 30.0), tolerance=0.1)
    sewing = find_sections(adjacency_of(found))
    assert len(found.sides) == 16
    assert len(sewing.sections) == sewing.min_sections == 8
    assert sewing.is_fewest
    assert len(sewing.joins) == 7
    assert {join.kind for join in sewing.joins} >= {"set-in"}


def test_mosaics_of_many_pieces_are_divided_beside_a_bound() -> None:
    """About 60 pieces: more than are proved, so that the answer says how few there may be."""
    rng = random.Random(4)
    points = shapely.MultiPoint([(rng.uniform(0, S), rng.uniform(0, S)) for _ in range(60)])
    square = shapely.box(0, 0, S, S)
    cells = shapely.get_parts(shapely.voronoi_polygons(points, extend_to=square))
    found = block_of([each for each in shapely.intersection(cells, square).tolist() if each.area])
    adjacency = adjacency_of(found)
    sewing = find_sections(adjacency)
    assert not sewing.is_fewest
    assert 2 <= sewing.min_sections < len(sewing.sections) <= 30
    bits = [sum(1 << piece for piece in section.pieces) for section in sewing.sections]
    assert sum(bits) == adjacency.all_pieces
    assert all(sewing_order(adjacency, each) is not None for each in bits)


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
