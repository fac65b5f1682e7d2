"""B-splines beside another implementation (ezdxf), and where closed forms are known."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from ezdxf.math import BSpline

from geometry.errors import ShapeError
from geometry.model.outline import Chain, Vertex
from geometry.model.points import Point
from geometry.model.segments import Arc
from geometry.shapes.curves import TOLERANCE, fitted
from geometry.shapes.splines import spline

ROOT_HALF = math.sqrt(0.5)


@pytest.mark.parametrize("seed", range(30))
def test_points_and_directions_agree_with_ezdxf(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311 - test data
    degree = rng.randint(1, 5)
    count = degree + 1 + rng.randint(0, 12)
    controls = [Point(rng.uniform(-50, 50), rng.uniform(-50, 50)) for _ in range(count)]
    inner = sorted(rng.choice([0.2, 0.5, 0.7, rng.random()]) for _ in range(count - degree - 1))
    if any(inner.count(knot) > degree for knot in inner):
        inner = [(k + 1) / (count - degree) for k in range(count - degree - 1)]
    knots = [0.0] * (degree + 1) + inner + [1.0] * (degree + 1)
    weights = [rng.uniform(0.5, 2.0) for _ in controls] if seed % 2 else []
    curve, _, _ = spline(degree, knots, controls, weights)
    other = BSpline(controls, order=degree + 1, knots=knots, weights=weights or None)
    for t in [rng.random() for _ in range(20)]:
        place, along = other.derivative(t, 1)
        assert curve.point(t) == pytest.approx((place.x, place.y), abs=1e-9)
        off = math.remainder(curve.direction(t) - math.atan2(along.y, along.x), math.tau)
        assert abs(off) < 1e-6
    assert curve.point(0.0) == pytest.approx(controls[0])
    assert curve.point(1.0) == pytest.approx(controls[-1])


def test_a_circle_as_a_rational_spline_becomes_a_few_arcs_of_its_radius() -> None:
    # The NURBS Book, 7.5: nine control points about a square, weights 1 and the root of a half.
    controls = [Point(x, y) for x, y in (
        (20, 0), (20, 20), (0, 20), (-20, 20), (-20, 0), (-20, -20), (0, -20), (20, -20), (20, 0),
    )]  # fmt: skip
    weights = [1.0 if k % 2 == 0 else ROOT_HALF for k in range(9)]
    knots = [0.0, 0, 0, 0.25, 0.25, 0.5, 0.5, 0.75, 0.75, 1, 1, 1]
    curve, sharp, spans = spline(2, knots, controls, weights)
    assert (sharp, spans) == ((), 4)
    chain = Chain((*fitted(curve, breaks=sharp, spans=spans), Vertex(*curve.point(1.0))))
    assert len(chain.segments) <= 4
    radii = [part.radius for part in chain.segments if isinstance(part, Arc)]
    assert radii == pytest.approx([20.0] * len(chain.segments), abs=1e-6)


def test_a_spline_of_degree_one_is_its_polygon() -> None:
    controls = [Point(0, 0), Point(10, 0), Point(10, 10), Point(3, 4)]
    curve, sharp, spans = spline(1, [0, 0, 1, 2, 3, 3], controls)
    vertices = fitted(curve, breaks=sharp, spans=spans)
    assert len(vertices) == 3
    for vertex, control in zip(vertices, controls, strict=False):
        assert vertex.point == pytest.approx(control)
    assert all(vertex.bulge == 0.0 for vertex in vertices)


def test_a_sharp_turn_inside_stays_where_it_is() -> None:
    controls = [Point(0, 0), Point(5, 9), Point(10, 10), Point(20, 0), Point(19, -5), Point(10, 10),
                Point(9, 3)]  # fmt: skip
    curve, sharp, spans = spline(3, [0, 0, 0, 0, 0.4, 0.4, 0.4, 1, 1, 1, 1], controls)
    assert sharp == (0.4,)
    vertices = fitted(curve, breaks=sharp, spans=spans)
    assert min(math.dist(vertex.point, controls[3]) for vertex in vertices) < 1e-9
    assert len(vertices) < 40
    chain = Chain((*vertices, Vertex(*curve.point(1.0))))
    ts = np.linspace(0.0, 1.0, 2000)
    flat = np.array([part.point_at(k / 50) for part in chain.segments for k in range(51)])
    for t in ts.tolist():
        assert np.hypot(*(flat - curve.point(t)).T).min() < 0.2 + TOLERANCE


@pytest.mark.parametrize(
    ("degree", "knots", "weights"),
    [(3, [0, 0, 1, 1], ()), (0, [0, 1, 2, 3], ()), (1, [0, 0, 2, 1, 3], ()), (1, [1] * 5, ()),
     (1, [0, 0, 1, 2, 2], (1, 0, 1)), (1, [0, 0, math.nan, 2, 2], ()),
     (1, [0, 0, 1, 2, 2], (1, 1))],
)  # fmt: skip
def test_refused(degree: int, knots: list[float], weights: tuple[float, ...]) -> None:
    with pytest.raises(ShapeError):
        spline(degree, knots, [Point(0, 0), Point(1, 0), Point(1, 1)], weights)
