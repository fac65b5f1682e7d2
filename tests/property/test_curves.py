"""Free curves become few tangent lines and arcs, none farther off than the tolerance."""

from __future__ import annotations

import math
import random

import pytest

from geometry.model.outline import Chain, Vertex
from geometry.model.points import Point
from geometry.model.segments import Arc
from geometry.separation import point_distance
from geometry.shapes.curves import TOLERANCE, Curve, _Sampled, bezier, ellipse_arc, fitted


def curve_of(seed: int) -> Curve:
    rng = random.Random(seed)  # noqa: S311 - test data
    return bezier([Point(rng.uniform(0, 100), rng.uniform(0, 100)) for _ in range(4)])


def chain_of(curve: Curve, tolerance: float = TOLERANCE) -> Chain:
    return Chain((*fitted(curve, tolerance=tolerance), Vertex(*curve.point(1.0))))


def fewest(curve: Curve) -> int:
    """Return the least number of lines and arcs by dynamic programming over where pieces end."""
    sampled = _Sampled(curve, 0.0, 1.0, TOLERANCE)
    count = sampled.count
    best = [0] + [10**9] * count
    for start in range(count):
        misses = 0
        for end in range(start + 1, count + 1):
            piece = sampled.piece(start, end, 0.96 * TOLERANCE)
            if piece is None:
                misses += 1
                if misses > 8:
                    break
            else:
                misses = 0
                best[end] = min(best[end], best[start] + len(piece))
    return best[count]


@pytest.mark.parametrize("seed", range(10))
def test_within_the_tolerance_and_smooth(seed: int) -> None:
    curve = curve_of(seed)
    chain = chain_of(curve)
    for step in range(1000):
        point = curve.point(step / 999)
        assert min(point_distance(part, point) for part in chain.segments) <= TOLERANCE
    for before, after in zip(chain.segments, chain.segments[1:], strict=False):
        turn = math.remainder(after.start_heading - before.end_heading, math.tau)
        assert abs(turn) < 1e-3 or abs(abs(turn) - math.pi) < 0.2  # a cusp turns right round


@pytest.mark.parametrize("seed", range(4))
def test_hardly_more_pieces_than_the_fewest(seed: int) -> None:
    curve = curve_of(seed)
    assert len(fitted(curve)) <= 1.2 * fewest(curve)


@pytest.mark.long
@pytest.mark.timeout(2400)
def test_two_hundred_curves_hardly_more_pieces_than_the_fewest() -> None:
    pairs = [(len(fitted(curve_of(seed))), fewest(curve_of(seed))) for seed in range(200)]
    assert sum(a for a, _ in pairs) <= 1.2 * sum(b for _, b in pairs)
    assert max(a / b for a, b in pairs) <= 1.5


def test_a_circle_is_two_arcs_and_an_ellipse_a_few() -> None:
    circle = chain_of(ellipse_arc(Point(0, 0), (10 + 0j, 10j), 0.0, math.tau))
    assert len(circle.segments) <= 4
    radii = [part.radius for part in circle.segments if isinstance(part, Arc)]
    assert radii == pytest.approx([10.0] * len(radii), abs=1e-6)
    ellipse = chain_of(ellipse_arc(Point(0, 0), (20 + 0j, 10j), 0.0, math.tau))
    assert len(ellipse.segments) <= 24


def test_a_straight_curve_is_one_line() -> None:
    assert len(fitted(bezier([Point(0, 0), Point(1, 1), Point(5, 5), Point(9, 9)]))) == 1
