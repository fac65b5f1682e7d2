"""Hexagons under a blade that is set to four angles: which edges are rough, and by how much."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Buoy hexagons",
    "units": "mm",
    "pieces": [
        {"id": "H", "shape": {"kind": "hexagon", "side": 20}, "quantity": 12, "grain": "half-turn"}
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {
                    "kind": "indexed_blade",
                    "positions_deg": [0, 45, 90, 135],
                    "blade_width": 0.8,
                    "step": 0.3,
                },
                "bed": {"width": 200, "height": 160},
                "margins": {"left": 10, "right": 10, "top": 10, "bottom": 10},
                "stop_s": 45,
            },
            "material": {"name": "grey card", "kind": "card"},
            "formats": ["dxf", "hpgl", "plan"],
            "one_file_per": "station",
            "ties": {"count": 0},
        }
    ],
}


def test_indexed_angles(studio: Studio) -> None:
    """A hexagon's edges lie at 0, 60 and 120 degrees to each other, one pair drawn level.

    Derived: the blade's best mismatches at 0, 45, 90, 135 are 0, 15 and 15 degrees (60 to
    45, 120 to 135). Slits across the edge reach 0.8 / 2 x sin 15 = 0.1035 mm to either side.
    So three angles are used, two turns on one load, and a file for each angle: three times three
    formats. Length as drawn: 12 x 6 x 20 = 1440 mm at most, a third of it at each angle.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    (load,) = run.loads
    assert load.outlines == {"H": 12}
    edges = load.payload["edges"]
    found = sorted((round(e["angle_deg"]), round(e["mismatch_deg"], 6)) for e in edges)
    assert found == [(0, 0.0), (45, 15.0), (135, 15.0)]
    rough = max(
        value for e in edges for key, value in e.items() if key.startswith(("rough", "edge_r"))
    )
    assert rough == pytest.approx(0.1035, abs=1e-4)
    turns = [each["angle_deg"] for each in load.stops if each["reason"] == "turn-blade"]
    assert len(turns) == 2
    assert set(turns) <= {0.0, 45.0, 135.0}
    assert len(load.files) == 9
    for station in (1, 2, 3):
        names = [each for each in load.file_names if f"-station-{station}" in each]
        assert len(names) == 3
    lengths = []
    for file in load.files:
        if file.format == "dxf":
            lines = foreign.dxf(file.data)
            assert len({line.layer for line in lines}) == 1
            lengths.append(sum(line.length for line in lines))
    assert len(lengths) == 3
    for length in lengths:
        assert 0.9 * 480.0 <= length <= 480.0 + 1e-3
    left, bottom, right, top = foreign.drawn(
        line for file in load.files if file.format == "hpgl" for line in foreign.hpgl(file.data)
    ).bounds
    assert min(left, bottom) >= 10.0 - 0.4 - 0.03
    assert right <= 190.0 + 0.43
    assert top <= 150.0 + 0.43
    # Three files of one format are needed, a file for each angle: one alone cuts a third.
    names = [f"station-{each}.dxf" for each in (1, 2, 3)]
    assert kit.sheet.together("one format", *names, within=120)
    assert kit.sheet.counts("H", 12, 12, 0)
    assert kit.sheet.says("grey card", "45", "135")
