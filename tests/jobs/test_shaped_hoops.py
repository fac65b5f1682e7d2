"""Squares in an oval, a rounded and a six-sided hoop, all 10 mm from the rim."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely

from tests.jobs import foreign
from tests.jobs.studio import Studio

OVAL = {"shape": "ellipse", "width": 300, "height": 200}
ROUNDED = {"shape": "rounded", "width": 300, "height": 200, "radius": 60}
SIX_SIDED = {
    "shape": "polygon",
    "width": 300,
    "height": 200,
    "points": [[75, 0], [225, 0], [300, 100], [225, 200], [75, 200], [0, 100]],
}


def request(bed: dict[str, Any], quantity: int) -> dict[str, Any]:
    return {
        "title": f"Hoop, {bed['shape']}",
        "units": "mm",
        "pieces": [
            {
                "id": "S",
                "shape": {"kind": "square", "side": 18},
                "quantity": quantity,
                "grain": "fixed",
            }
        ],
        "runs": [
            {
                "cut": "patch",
                "cutter": {
                    "tool": {"kind": "laser", "kerf": 0},
                    "bed": bed,
                    "margins": {"left": 10, "right": 10, "top": 10, "bottom": 10},
                },
                "formats": ["svg"],
                "material": {"name": "cotton", "kind": "fabric"},
                "effort": "quick",
                "gap": 0.5,
            }
        ],
    }


def _oval() -> shapely.Polygon:
    turns = np.linspace(0.0, math.tau, 8001)
    return shapely.Polygon(np.c_[150 + 150 * np.cos(turns), 100 + 100 * np.sin(turns)])


RIMS = {
    "ellipse": _oval(),
    "rounded": shapely.box(60, 60, 240, 140).buffer(60, quad_segs=2000),
    "polygon": shapely.Polygon(SIX_SIDED["points"]),
}


@pytest.mark.parametrize(
    ("bed", "by_ruler", "by_area"),
    [
        pytest.param(OVAL, 99, 121, id="oval", marks=pytest.mark.long),
        pytest.param(ROUNDED, 127, 148, id="rounded"),
        pytest.param(SIX_SIDED, 94, 115, id="six-sided"),
    ],
)
def test_shaped_hoops(studio: Studio, bed: dict[str, Any], by_ruler: int, by_area: int) -> None:
    """Nine rows of 18 mm and gaps of 0.5: 9 x 18.5 - 0.5 = 166 of the 180 mm that are left.

    With the middle row on the axis a row's outer edge is 9, 27.5, 46, 64.5 or 83 mm from it, and
    its count floor((w + 0.5) / 18.5), w the width left there, once and then twice each:
    Oval: a point of it at t, moved 10 mm along its normal, is at x = 150 cos t - 1000 cos t / n,
    y = 100 sin t - 1500 sin t / n with n = root((100 cos t)2 + (150 sin t)2); at those five y
    w = 2 x = 278.6, 266.4, 240.1, 194.5, 107.6: 15, 14, 13, 10, 5, so 15 + 2 x 42 = 99. Area 39,505
    / 324 = 121.
    Rounded: corners of radius 50 begin 40 from the axis: w = 280 up to there, then
    180 + 2 root(2500 - (y - 40)2): 279.3, 267.2, 231.0: 15, 15, 15, 14, 12, so 15 + 2 x 56 = 127.
    Area 280 x 180 - (4 - pi) x 2500 = 48,254 / 324 = 148.
    Six-sided: sides rise 4 in 3, so 10 mm square to them are 12.5 along x: w = 275 - 1.5 y:
    261.5, 233.75, 206, 178.25, 150.5: 14, 12, 11, 9, 8, so 14 + 2 x 40 = 94.
    Area 37,350 / 324 = 115.
    Twice what a hoop holds by ruler is wanted, more than one holds by area: two loads.
    """
    wanted = 2 * by_ruler
    kit = studio.kit(request(bed, wanted))
    run = kit.run()
    assert run.total("S") == (wanted, wanted, 0)
    assert run.load_count == math.ceil(wanted / by_area) == 2
    assert by_ruler <= max(load.outlines["S"] for load in run.loads) <= by_area
    rim = RIMS[bed["shape"]]
    for load in run.loads:
        lines = foreign.svg(load.file("svg"))
        drawn = foreign.drawn(lines)
        assert rim.contains(drawn)
        assert drawn.distance(rim.exterior) >= 10.0 - 0.01
        squares = foreign.hulls(lines)
        assert [each.area for each in squares.values()] == pytest.approx(
            [324.0] * load.outlines["S"], abs=0.01
        )
        assert foreign.nearest(list(squares.values())) >= 0.5 - 1e-3
    assert kit.sheet.counts("S", wanted, wanted, 0)
    assert kit.sheet.says("cotton", "laser")
