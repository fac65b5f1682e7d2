"""No-fit polygons of convex pieces, tilted by next to nothing."""

import math

import numpy as np
import pytest
import shapely

from geometry.layout.fitting.no_fit import convex_sum


def turned(polygon: np.ndarray, angle: float) -> np.ndarray:
    cos, sin = math.cos(angle), math.sin(angle)
    points: np.ndarray = polygon @ np.array([[cos, sin], [-sin, cos]])
    return points


@pytest.mark.parametrize(
    "tilt", [0.0, 1e-9, -1e-9, 9e-10, -9e-10, 1.1e-9, -1.1e-9, 1e-12, -1e-12, 1e-6]
)
@pytest.mark.parametrize("sides", [3, 4, 6, 7])
def test_a_sum_is_its_hull_whatever_the_tilt(sides: int, tilt: float) -> None:
    ring = np.array(
        [
            (
                40 * math.cos(math.tau * (k - 0.5) / sides - math.pi / 2),
                40 * math.sin(math.tau * (k - 0.5) / sides - math.pi / 2),
            )
            for k in range(sides)
        ]
    )
    for other_tilt in (0.0, tilt, -tilt):
        a, b = turned(ring, tilt), -turned(ring, other_tilt)
        found = shapely.Polygon(convex_sum(a, b))
        hull = shapely.MultiPoint([tuple(p + q) for p in a for q in b]).convex_hull
        assert shapely.hausdorff_distance(found, hull) < 1e-6
