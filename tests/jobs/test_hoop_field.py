"""A hoop with a wide lower margin: whole rows of squares in what is left."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Jetty squares",
    "units": "in",
    "pieces": [
        {
            "id": "S",
            "shape": {"kind": "square", "side": "1"},
            "quantity": 54,
            "seam_allowance": "1/4",
            "grain": "fixed",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {
                "tool": {
                    "kind": "indexed_blade",
                    "positions_deg": [0, 90],
                    "blade_width": "0.8 mm",
                },
                "bed": {"width": "132.7 mm", "height": "158.1 mm"},
                "margins": {"left": "1/4", "right": "1/4", "top": "1/4", "bottom": "1 1/4"},
            },
            "material": {"name": "blue cotton", "kind": "stiffened_fabric"},
            "gap": "2 mm",
            "layers": 3,
            "formats": ["dxf", "svg"],
        }
    ],
}


def test_hoop_field(studio: Studio) -> None:
    """A teacher's margins of a hoop: 132.7 x 158.1 mm less 1/4, 1/4, 1/4 and 1 1/4 in.

    132.7 - 2 x 6.35 = 120.0 and 158.1 - 6.35 - 31.75 = 120.0 mm: a field of 120 x 120. A square
    of 1 in with 1/4 in is 38.1 mm: 3 x 38.1 + 2 x 2 = 118.3, so 3 x 3 = 9 and no more (4 x 38.1 =
    152.4). 9 outlines in 3 layers are 27; 54 pieces are 2 loads. Blade: edges at 0 and 90
    degrees, each cut exactly along; no edge is rough. The second load starts at the angle that
    the first one ends at, so each load has one turn and they end at different angles. DXF stops no
    machine for it: each angle has a file.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    first, second = run.loads
    for load in (first, second):
        assert (load.repeats, load.outlines, load.pieces) == (1, {"S": 9}, {"S": 27})
        turns = [each for each in load.stops if each["reason"] == "turn-blade"]
        assert len(turns) == 1
        assert {edge["mismatch_deg"] for edge in load.payload["edges"]} == {0.0}
    ends = [
        each["angle_deg"]
        for load in (first, second)
        for each in load.stops
        if each["reason"] == "turn-blade"
    ]
    assert sorted(ends) == [0.0, 90.0]
    assert run.total("S") == (54, 54, 0)
    assert run.payload["layers"] == 3
    area = run.payload["work_area"]
    assert (area["width_mm"], area["height_mm"]) == pytest.approx((120.0, 120.0), abs=1e-6)
    assert (area["x_mm"], area["y_mm"]) == pytest.approx((6.35, 31.75), abs=1e-6)
    load = first
    by_layer: dict[str, list[foreign.Line]] = {}
    lines_of_both = [line for part in load.parts("dxf") for line in foreign.dxf(part)]
    for line in lines_of_both:
        by_layer.setdefault(line.layer, []).append(line)
    assert len(by_layer) == 2
    for lines in by_layer.values():
        ways = {abs(a[1] - b[1]) < 1e-6 for line in lines for a, b in _moves(line)}
        # One layer to each angle: all level, or all upright.
        assert len(ways) == 1
    outlines = foreign.drawn(lines_of_both)
    left, bottom, right, top = outlines.bounds
    # The blade's slits may end half its width past a corner.
    assert left >= 6.35 - 0.4 - 1e-3
    assert bottom >= 31.75 - 0.4 - 1e-3
    assert right <= 132.7 - 6.35 + 0.4 + 1e-3
    assert top <= 158.1 - 6.35 + 0.4 + 1e-3
    assert kit.sheet.counts("S", 54, 54, 0)
    assert kit.sheet.says("3 layers", "blue cotton", "90")


def _moves(line: foreign.Line) -> list[tuple[foreign.Point, foreign.Point]]:
    return list(zip(line.points, line.points[1:], strict=False))
