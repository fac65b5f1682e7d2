"""Papers for a class of 24 with a tenth more: 1,320 hexagons of 1 in from 12 in card."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Quayside class papers",
    "units": "in",
    "pieces": [
        {
            "id": "HEX1",
            "shape": {"kind": "hexagon", "side": "1"},
            "quantity": 1320,
            "seam_allowance": "1/4",
            "removal_hole": True,
            "label": "1 in",
        }
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": "drag-blade-sheet",
            "material": {"name": "card 200 g", "kind": "card", "width": "12 in", "height": "12 in"},
            "formats": ["svg", "hpgl"],
            "effort": "quick",
        }
    ],
}


def test_class_papers(studio: Studio) -> None:
    """24 people x 50 papers = 1,200, and a tenth more: 1,320.

    The mat is 12 x 12 in with 1/4 in margins: 292.1 mm each way. A hexagon of side 25.4 mm
    is 43.994 mm across flats and 50.8 mm across corners; with a gap of 1 mm a row's pitch is
    44.994 mm and 6 lie in a row (6 x 44.994 - 1 = 268.96; the next row, half a pitch aside,
    ends at 291.46). Rows are 1.5 x 25.4 + 1 x cos 30 = 38.966 mm apart:
    50.8 + 6 x 38.966 = 284.6 mm, 7 rows. A sheet by ruler holds 42; 1320 / 42 = 31.4, 32 sheets.
    292.1^2 / 1676.17 mm2 = 50.9: no sheet holds more than 50, so at least 27.
    Each hexagon has a hole; one hole's ring and one outline each, 2 x 1320 closed cuts. The pen
    writes first, in a file of its own: neither SVG nor HP-GL stops a machine for the blade.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert run.total("HEX1") == (1320, 1320, 0)
    assert run.outlines == {"HEX1": 1320}
    assert 27 <= run.load_count <= 32
    # Equal loads are listed once: with the odd one at the end, two entries at most.
    assert len(run.loads) <= 2
    full = run.loads[0]
    for kind, read in (("svg", foreign.svg), ("hpgl", foreign.hpgl)):
        pen, blade = full.parts(kind)
        lines = [*read(pen), *read(blade)]
        left, bottom, right, top = foreign.drawn(lines).bounds
        # The axis may run ahead of the tip by the blade's offset, and off the card nowhere.
        assert min(left, bottom) >= 6.35 - 0.25 - 0.03
        assert max(right, top) <= 304.8 - 6.35 + 0.25 + 0.03
    _pen, blade = full.parts("svg")
    hulls = foreign.hulls(each for each in foreign.svg(blade) if "HEX1" in each.name)
    outlines = [each for each in hulls.values() if each.area > 1500.0]
    assert len(outlines) == full.outlines["HEX1"]
    # Convex hulls of the axis' path hold the piece and at most the offset round it.
    for each in outlines:
        assert 1676.1 <= each.area <= 1676.17 + 152.4 * 0.26
    assert kit.sheet.counts("HEX1", 1320, 1320, 0)
    assert kit.sheet.says("card 200 g", 1320, "drag blade", f"{full.repeats} times")
    assert kit.labels.says("HEX1", 1320)
    assert kit.allowance("HEX1") == pytest.approx((6.35, 6.35, 6.35), abs=1e-3)
