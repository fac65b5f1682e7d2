"""Areas of strips along the sides of beds of any shape, and the edges that level lines cross."""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry import polygons
from geometry.layout.beds.chords import FitRegion, cuts
from geometry.layout.strip_areas import strip_areas
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.segments import Bounds


def test_strips_of_an_l() -> None:
    """An L of 100 by 60 mm with arms 40 and 20 mm wide: 40 x 60 + 60 x 20 = 3600 mm2.

    Pieces from 10 to 70 mm along and 5 to 30 mm up: from the left 40 x 60 + 30 x 20 = 3000, from
    below 100 x 20 + 40 x 10 = 2400, from the right 3600 - 10 x 60 = 3000, from above
    3600 - 100 x 5 = 3100.
    """
    room = WorkArea(Outline.of([(0, 0), (100, 0), (100, 20), (40, 20), (40, 60), (0, 60)]))
    areas = strip_areas(room)
    assert areas.whole == pytest.approx(3600)
    found = areas.around(Bounds(10.0, 5.0, 70.0, 30.0))
    assert found == pytest.approx((3000.0, 2400.0, 3000.0, 3100.0))
    assert areas.least_share(Bounds(10.0, 5.0, 70.0, 30.0)) == pytest.approx(2400 / 3600)


def test_strips_of_a_disc() -> None:
    """A disc of 50 mm: up to its middle half of it, up to 25 mm before that the smaller segment.

    The segment is r2 (acos(1/2) - 1/2 sin(acos(1/2))) = 2500 x (1.0472 - 0.4330) = 1535.5 mm2.
    """
    disc = WorkArea(Outline.of([(100, 50, 1), (0, 50, 1)]))
    found = strip_areas(disc).around(Bounds(25.0, 50.0, 50.0, 75.0))
    whole, segment = math.pi * 2500.0, 2500.0 * (math.pi / 3.0 - math.sqrt(3.0) / 4.0)
    # Chords stand off the rim by 0.008 mm at most.
    assert found == pytest.approx(
        (whole / 2.0, whole - segment, whole - segment, whole / 2.0), abs=0.008 * 100.0 * math.pi
    )


def test_strips_beyond_the_sides() -> None:
    """Nothing lies before the left side, and no more than all before the right one."""
    room = WorkArea(Outline.of([(0, 0), (100, 0), (50, 80)]))
    assert strip_areas(room).around(Bounds(-5.0, -5.0, 120.0, 90.0)) == pytest.approx([4000] * 4)
    assert strip_areas(room).around(Bounds(-9.0, -9.0, -5.0, -5.0))[0] == 0.0


def test_level_lines_about_a_hole() -> None:
    """A square of 100 with a hole from 40 to 60: in its height each line has two intervals.

    Lines at the lower and upper side of the square still cut it, one beyond does not.
    """
    square = polygons.box(0.0, 0.0, 100.0, 100.0).difference(polygons.box(40.0, 40.0, 60.0, 60.0))
    lines, start, end = cuts(FitRegion.of(square), np.array([20.0, 50.0, 100.0, 0.0, 101.0, -1.0]))
    assert lines.tolist() == [0, 1, 1, 2, 3]
    assert start == pytest.approx([0.0, 0.0, 60.0, 0.0, 0.0])
    assert end == pytest.approx([100.0, 40.0, 100.0, 100.0, 100.0])
