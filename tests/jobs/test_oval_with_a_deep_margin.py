"""Linen squares in an oval hoop whose head reaches far below the needle, file by file."""

from __future__ import annotations

import math
from itertools import product

import shapely

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Oval hoop, quay squares",
    "units": "mm",
    "pieces": [
        {
            "id": "Q",
            "shape": {"kind": "square", "side": 20},
            "quantity": 26,
            "seam_allowance": 6,
            "grain": "fixed",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "layers": 2,
            "gap": 2,
            "formats": ["hpgl", "svg"],
            "one_file_per": "station",
            "ties": {"count": 1, "width": "0.5 mm"},
            "cutter": {
                "tool": {
                    "kind": "indexed_blade",
                    "positions_deg": [0, 90],
                    "blade_width": "0.8 mm",
                    "step": "0.3 mm",
                },
                "bed": {"shape": "ellipse", "width": 240, "height": 160},
                "margins": {"left": 8, "right": 12, "top": 6, "bottom": 25},
                "speed": 10,
                "stop_s": 30,
            },
            "material": {"name": "linen", "kind": "fabric"},
        }
    ],
}


def outside(x: float, y: float) -> float:
    """Return how far the head of an axis at a point stands outside the oval; below 0 inside."""
    most = -1.0
    for step in range(720):
        turn = math.radians(step / 2)
        across, up = math.cos(turn), math.sin(turn)
        at = x + across * (12 if across > 0 else 8), y + up * (6 if up > 0 else 25)
        most = max(most, ((at[0] - 120) / 120) ** 2 + ((at[1] - 80) / 80) ** 2 - 1.0)
    return most


def test_oval_with_a_deep_margin(studio: Studio) -> None:
    """A patch is 20 + 2 x 6 = 32 mm; 26 of them through 2 layers are 13 outlines.

    The needle may stand between y = 25 and 154 in the middle of the oval: three rows of 32 with
    2 mm between. Chords of the room (quarter ellipses of 8, 12, 6 and 25 mm taken off the oval,
    worked out point by point) hold 3, 6 and 4 squares of 34 mm for rows from y = 32.5: 13, one
    load. All four sides lie along a blade angle: half the 52 edges are cut at 0 degrees, half at
    90; a tie on each outline parts one edge in two, 26 + 26 + 13 = 65 strokes. One tie is 0.5 mm
    wide: the blade of 0.8 mm leaves out 1.3 mm, 13 x (128 - 1.3) = 1647 mm at 10 mm/s. Stops: hoop,
    turn, snip, 3 x 30 s.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert run.load_count == 1
    assert run.total("Q") == (26, 26, 0)
    (load,) = run.loads
    assert (load.outlines, load.pieces) == ({"Q": 13}, {"Q": 26})
    assert sorted(load.file_names) == [
        f"1-patch-linen-1-station-{station}.{ending}"
        for station, ending in product((1, 2), ("plt", "svg"))
    ]
    lines = [line for each in load.files if each.format == "svg" for line in foreign.svg(each.data)]
    assert len(lines) == 65
    assert max(outside(x, y) for line in lines for x, y in line.points) <= 1e-4
    squares = [shapely.box(*each.bounds) for each in foreign.hulls(lines).values()]
    assert len(squares) == 13
    assert all(abs(each.area - 32.0 * 32.0) < 0.05 for each in squares)
    assert foreign.nearest(squares) >= 2.0 - 1e-3
    plotted = [
        line for each in load.files if each.format == "hpgl" for line in foreign.hpgl(each.data)
    ]
    assert abs(sum(line.length for line in plotted) - 1647.1) < 1.0
    assert abs(load.payload["cut_length_mm"] - 1647.1) < 0.1
    assert [stop["reason"] for stop in load.stops] == ["load-material", "turn-blade", "snip-ties"]
    low = 164.7 + 90.0
    assert low < load.payload["estimated_s"] < low + 15.0
    assert kit.sheet.says("Hoop linen, 2 layers, right side up", "26 of Q")
    # The operator sees which hoop it is, and what stays free on which side.
    assert kit.sheet.together("Hoop", "240 x 160 mm", "8 mm left", "12 mm right")
    assert kit.sheet.together("6 mm top", "25 mm bottom", within=4)
    assert kit.sheet.together("station-1", "degrees", "station-2", "degrees")
