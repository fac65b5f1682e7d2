"""Read shapes against exact ones: Hausdorff distance and signed area."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely

from geometry.measure import area, flattened
from geometry.model.outline import Outline


def shoelace(points: Sequence[Sequence[float]]) -> float:
    """Return the signed area of a polygon."""
    return 0.5 * math.fsum(
        a[0] * b[1] - b[0] * a[1] for a, b in zip(points, [*points[1:], points[0]], strict=True)
    )


def assert_same(
    points: Sequence[Sequence[float]], outline: Outline, tolerance: float, *, signed: bool = True
) -> None:
    """Assert that a read ring lies on an outline everywhere and runs the same way."""
    exact = flattened(outline, 1e-4)
    read = shapely.LinearRing(points)
    off = shapely.hausdorff_distance(read, shapely.LinearRing(exact), densify=0.2)
    assert off <= tolerance + 2e-4, f"{off} mm off"
    allowed = tolerance * read.length
    found = shoelace(points)
    wanted = area(outline)
    assert (found if signed else abs(found)) == _near(wanted if signed else abs(wanted), allowed)


def _near(value: float, by: float) -> object:
    import pytest

    return pytest.approx(value, abs=by)
