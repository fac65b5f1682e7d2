"""The binding of quilts whose edges keep the points and dents of whole pieces."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.jobs.studio import Studio

INCH = 25.4
SIDE = 3.0

BUOYS: dict[str, Any] = {
    "title": "Buoys in a row",
    "units": "in",
    "tiling": "hexagon",
    "side": "3",
    "quilt": {"width": "30", "length": "30"},
    "binding": {"usable_width": "35", "extra": "10"},
}
#: A quilt's straight edge: a rectangle without a fill.
FRAME = r'<path d="M[-\d.]+ [-\d.]+(?:L[-\d.]+ [-\d.]+){4}Z" fill="none"'


def planned(studio: Studio, **edge: str) -> tuple[dict[str, Any], float]:
    """Return the plan of a quilt with these edges, and the length of its binding, in."""
    plan = studio.calculated("/v1/quilt-plans", {**BUOYS, "edge": edge})
    return plan, plan["materials"]["binding"]["length_mm"] / INCH


def test_binding_follows_the_points_of_whole_ends(studio: Studio) -> None:
    """Hexagons of 3 in, tips up: 6 columns of 3 sqrt 3 = 5.196 are 31.177 in, at least 30.

    7 rows: 7 x 4.5 + 1.5 = 33 in. Filled sides are straight, whole ends go up and down.
    An end: 6 hexagons with two edges of 3 in each, 36 in. A side: 33 less half a side above and
    below, where the corner's hexagon slopes: 33 - 2 x 1.5 = 30 in. Round the quilt 2 x 36 + 2 x 30
    = 132 in, binding 132 + 10 = 142 in. 142 / 35 = 4.06: 5 strips. A rectangle would have
    2 x (31.177 + 33) = 128.35 in, binding 138.35 in: 4 strips, too few.
    """
    plan, length = planned(studio, sides="filled", ends="whole")
    assert plan["seams"]["outside_mm"] / INCH == pytest.approx(132.0)
    assert length == pytest.approx(142.0)
    assert plan["materials"]["binding"]["strips"] == 5
    (text,) = [each for each in plan["warnings"] if "binding" in each]
    assert "The ends keep the points and dents" in text
    assert "132 in round the quilt" in text
    assert "128.4 in" in text
    # No straight line is drawn where none is bound.
    assert not re.search(FRAME, plan["picture"])
    # Backing and batting are rectangles under all of it: 4 in more on each side.
    assert plan["materials"]["backing"]["length_mm"] / INCH == pytest.approx(41.0)


def test_binding_of_trimmed_ends_is_straight(studio: Studio) -> None:
    """Trimmed to 30 by 30 in: 4 x 30 + 10 = 130 in; 130 / 35 = 3.7, 4 strips."""
    plan, length = planned(studio, sides="trimmed", ends="trimmed")
    assert length == pytest.approx(130.0)
    assert plan["materials"]["binding"]["strips"] == 4
    assert not [each for each in plan["warnings"] if "binding" in each]
    assert re.search(FRAME, plan["picture"])


def test_binding_of_trimmed_sides_and_whole_ends(studio: Studio) -> None:
    """Sides trimmed to 30 in: an end's points go up by 1 in for sqrt 3 in along.

    So an end is 30 x 2 / sqrt 3 = 34.641 in long. 31.177 - 30 = 1.177 in is cut off, 0.588 in on
    each side, where an end has come down from its point by 1.5 - 0.588 / sqrt 3 = 1.160 in: a side
    is 33 - 2 x 1.160 = 30.679 in. Round the quilt 2 x (34.641 + 30.679) = 130.64 in.
    """
    _, length = planned(studio, sides="trimmed", ends="whole")
    assert length == pytest.approx(140.64, abs=0.01)
