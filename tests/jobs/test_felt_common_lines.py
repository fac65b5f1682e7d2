"""Felt coasters with edges cut once, written as G-code, SVG and DXF."""

from __future__ import annotations

import pytest
import shapely

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Boathouse coasters",
    "units": "mm",
    "pieces": [{"id": "SQ", "shape": {"kind": "square", "side": 50}, "quantity": 24}],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "laser", "kerf": 0.3},
                "bed": {"width": 400, "height": 300},
                "margins": {"left": 5, "right": 5, "top": 5, "bottom": 5},
                "formats": {"gcode": {"head": "laser", "power": 600, "feed_mm_min": 900}},
            },
            "material": {"name": "wool felt", "kind": "fabric"},
            "formats": ["svg", "dxf", "gcode"],
            "common_line": True,
            "ties": {"count": 0},
        }
    ],
}


def test_felt_common_lines(studio: Studio) -> None:
    """24 squares of 50 mm with a beam of 0.3 mm: the beam's line runs 0.15 mm outside.

    The lines of a grid lie 50.3 mm apart. The bed leaves 390 x 290 mm: 7 columns
    (7 x 50.3 = 352.1) and 5 rows (251.5), 35 squares, so one load.
    Edges: 24 squares have 96; those between two are cut once. The fewest lines of 24 squares on a
    grid: outer edges 20 (4 x 6 or 5 x 5 less one), so (96 + 20) / 2 = 58 lines of 50.3 mm,
    2917 mm; whole rows of 7 need 59, columns of 5 also 58 to 60. Apart it would be
    96 x 50.3 = 4829 mm.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    (load,) = run.loads
    assert load.outlines == {"SQ": 24}
    assert load.repeats == 1
    assert 58 * 50.3 - 1.0 <= load.payload["cut_length_mm"] <= 62 * 50.3
    for kind, read in (("svg", foreign.svg), ("dxf", foreign.dxf), ("gcode", foreign.gcode)):
        lines = read(load.file(kind))
        length = sum(each.length for each in lines)
        assert length == pytest.approx(load.payload["cut_length_mm"], abs=0.5), kind
        # Every square is bounded by the lines: all of them together leave 24 cells.
        noded = shapely.node(shapely.set_precision(foreign.drawn(lines), 0.01))
        squares = [each.area for each in shapely.polygonize([noded]).geoms]
        assert len(squares) == 24, kind
        assert squares == pytest.approx([50.3**2] * 24, abs=2.0)
        left, bottom, right, top = foreign.drawn(lines).bounds
        assert min(left, bottom) >= 5.0 - 1e-3
        assert right <= 395.0 + 1e-3
        assert top <= 295.0 + 1e-3
    assert kit.sheet.counts("SQ", 24, 24, 0)
    assert kit.sheet.says("laser", "wool felt", "0.3 mm")
