"""Whole sets in a bed with round corners: nothing lies in a corner that is not there."""

from __future__ import annotations

import shapely

from tests.jobs import foreign
from tests.jobs.studio import Studio

_REQUEST = {
    "title": "Tumbler sets",
    "units": "mm",
    "copies": 4,
    "pieces": [
        {
            "id": "T",
            "shape": {"kind": "tumbler", "top_width": 60, "bottom_width": 40, "height": 70},
            "quantity": 6,
        },
        {"id": "Q", "shape": {"kind": "square", "side": 40}, "quantity": 3},
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "drag_blade", "offset": 0.3},
                "bed": {"shape": "rounded", "width": 320, "height": 240, "radius": 60},
                "margins": {"left": 12, "right": 20, "top": 15, "bottom": 30},
            },
            "gap": 2,
            "sets": True,
            "formats": ["hpgl", "svg"],
            "material": {"name": "thin card", "kind": "card"},
        }
    ],
}


def test_sets_of_tumblers_and_squares(studio: Studio) -> None:
    """Four copies of 6 tumblers and 3 squares are 24 and 12: twelve sets of 2 and 1.

    A tumbler is 70 (60 + 40) / 2 = 3,500 mm2, a square 1,600: a set 8,600. The head leaves at
    most 288 x 195 = 56,160 mm2, less the corners: six sets would take 51,600 of it, 92 %, more
    than shapes with gaps of 2 mm fill. Five sets a load are 5 + 5 + 2, four are 4 + 4 + 4: three
    loads either way. The head reaches 12 mm to the left of the blade, 20 right, 15 up and 30 down,
    a quarter ellipse between two of them. It stays
    in the opening everywhere along a stroke.
    """
    kit = studio.kit(_REQUEST)
    run = kit.run()
    assert run.load_count == 3
    assert run.outlines == {"T": 24, "Q": 12}
    assert all(load.outlines["T"] == 2 * load.outlines["Q"] for load in run.loads)
    opening = shapely.box(60, 60, 260, 180).buffer(60, quad_segs=400)
    # Four points of the head, and one on each of its quarter ellipses at 45 degrees of their angle.
    half = 0.5**0.5
    sides = [(-12, 0), (20, 0), (0, 15), (0, -30)]
    corners = [(x * half, y * half) for x in (-12, 20) for y in (15, -30)]
    for load in run.loads:
        for line in foreign.svg(load.file("svg")):
            for x, y in line.points:
                for dx, dy in (*sides, *corners):
                    # 0.01 mm by the issue, and the steps of the outline's circle.
                    assert opening.distance(shapely.Point(x + dx, y + dy)) < 0.011
