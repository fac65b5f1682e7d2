"""Part-filled loads that a reviewer laid on less by hand: rows that make way for each other."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio


def _material(
    studio: Studio, piece: dict[str, Any], count: int, bed: dict[str, Any], gap: float, effort: str
) -> float:
    """Return the mm2 of the one load's strip, its pieces checked from the file."""
    kit = studio.kit(
        {
            "title": "By eye",
            "units": "mm",
            "pieces": [{"id": "P", "shape": piece, "quantity": count}],
            "runs": [
                {
                    "cut": "template",
                    "cutter": {
                        "tool": {"kind": "pen"},
                        "bed": bed,
                        "margins": {"left": 0, "right": 0, "top": 0, "bottom": 0},
                    },
                    "material": {"name": "card", "kind": "card"},
                    "gap": gap,
                    "effort": effort,
                    "formats": ["plan"],
                }
            ],
        }
    )
    (load,) = kit.run().loads
    assert (load.outlines, load.repeats) == ({"P": count}, 1)
    exact = foreign.polygons(foreign.plan(load.file("plan")))
    assert len(exact) == count
    assert foreign.nearest(exact) > gap - 0.01
    return float(load.payload["used"]["area_mm2"])


@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_kites_drawn_back_in_turn(studio: Studio, effort: str) -> None:
    """13 kites of a hexagon of 38 mm, 1 mm apart, across 300 mm: 39.45 mm of it.

    A kite is 38 mm long and 19 sqrt 3 = 32.909 wide, with 60 degrees at its tip. Tips to one side
    and the other, 12 steps of (300 - 32.909) / 12 = 22.258 mm fill the width. Long sides run at 30
    degrees, a gap of 1 mm is 1 / cos 30 = 1.155 along the row: where every other kite is drawn
    back by d, (38 - d) tan 30 + 1.155 = 22.258, so that d = 1.449 mm. As close as they go, 22.1 mm
    apart, they are 287 mm long and take 41.3 mm.
    """
    kite = {"kind": "kite", "side": 38}
    area = _material(studio, kite, 13, {"width": 300, "height": 300}, 1, effort)
    assert area <= 300.0 * 39.45


@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_circles_about_a_hole(studio: Studio, effort: str) -> None:
    """8 circles of 50 mm, 2 mm apart, on 260 x 200 mm with 40 x 40 mm kept free in the middle.

    Two rows, 26 mm moved along: 50 + 52 sqrt 3 / 2 = 95.03 mm. The outer one has four, with
    middles at 52, 104, 156 and 208 mm; the inner one would have five and lacks the third, at
    130 mm, for the hole: 26, 78, 182 and 234 mm. At 78, 70.03 mm up, a circle is
    sqrt(32^2 + 9.97^2) = 33.5 mm from the hole's corner at 110 and 80. Straight rows of five and
    three take 102 mm.
    """
    hole = [[110, 80], [150, 80], [150, 120], [110, 120]]
    bed = {"width": 260, "height": 200, "keep_out": [hole]}
    area = _material(studio, {"kind": "circle", "diameter": 50}, 8, bed, 2, effort)
    assert area <= 260.0 * 95.04


def test_hexagons_past_each_other(studio: Studio) -> None:
    """6 hexagons of 25 mm, 2 mm apart, in a bed of 240 x 140 mm with corners rounded by 40 mm.

    Three stand on each other: 3 x 43.301 + 2 x 2 = 133.90 mm, 3.05 from both ends. Their outer
    corners, 12.5 mm from the tips, lie in the rounding where (27.5 - x)^2 + 36.95^2 = 40^2: they
    begin x = 12.18 mm in. The next three stand 3.05 mm higher, so that tips pass each other:
    0.866 (dx - 50) + 0.5 x 3.05 = 2 makes dx = 50.55, and 52 at one height. The strip ends at
    12.18 + 50.55 + 50 = 112.73 mm; each rounding takes 40^2 (1 - pi / 4) = 343.4 mm2 off it.
    """
    bed = {"shape": "rounded", "width": 240, "height": 140, "radius": 40}
    area = _material(studio, {"kind": "hexagon", "side": 25}, 6, bed, 2, "normal")
    assert area <= 112.75 * 140.0 - 2.0 * 1600.0 * (1.0 - math.pi / 4.0)
