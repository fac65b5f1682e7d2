"""A quilt of squares in two colours: a run of patches for each cloth, yardage by rows."""

from __future__ import annotations

import pytest

from tests.jobs import foreign, names
from tests.jobs.studio import Studio

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

PLAN = {
    "title": "Tide and sand",
    "units": "in",
    "tiling": "square",
    "side": "6",
    "quilt": {"width": "36", "length": "48"},
    "colours": {"by": "rows", "names": ["tide", "sand"]},
    "seam_allowance": "1/4",
    "fabric": {"width": "42", "step": "1/8 yd"},
    "binding": {"usable_width": "40", "extra": "10"},
    "backing": {"usable_width": "40", "seams": "lengthwise"},
    "cutter": "laser-bed",
}


def test_row_quilt(studio: Studio) -> None:
    """36 / 6 = 6 in a row, 48 / 6 = 8 rows: 48 squares, 24 of each colour.

    Cut 6 1/2 in: 42 / 6.5 = 6 a row, 24 / 6 = 4 rows = 26 in = 0.722 yd, to eighths 3/4 yd each.
    Seams: between 6 columns 5 x 48 in, between 8 rows 7 x 36 in: 240 + 252 = 492 in; 82 shared
    edges (5 x 8 + 6 x 7). Outside 2 x 84 = 168 in.
    Binding 168 + 10 = 178 in: 178 / 40 = 4.45, 5 strips of 2 1/2 in. Backing 44 x 56:
    44 / 40 = 1.1, 2 panels of 56 in = 112 in = 3.11 yd, 3 1/8 yd.
    Laser bed 590 x 390 mm: patches 165.1 mm: 3 x 2 per load (3 x 165.6 = 496.8; 4: 661.9), 24 / 6 =
    4 loads of each cloth; 4 equal loads are one entry.
    """
    plan = studio.calculated("/v1/quilt-plans", PLAN)
    assert plan["totals"]["pieces"] == 48
    assert plan["colours"] == {"tide": 24, "sand": 24}
    assert [each[names.QUANTITY] for each in plan["pieces"]] == [24, 24]
    assert plan["seams"]["length_mm"] == pytest.approx(492 * 25.4)
    assert plan["seams"]["count"] == 82
    assert plan["seams"]["outside_mm"] == pytest.approx(168 * 25.4)
    stuff = plan["materials"]
    for cloth in stuff["fabrics"]:
        assert (cloth["per_row"], cloth["rows"], cloth[names.BUY]) == (6, 4, "3/4 yd")
    assert stuff["binding"]["strips"] == 5
    assert (stuff["backing"]["panels"], stuff["backing"][names.BUY]) == (2, "3 1/8 yd")
    body = plan["kit"]
    quick = {"effort": "quick", "ties": {"count": 0}, "formats": ["svg"]}
    runs = [{**run, **quick} for run in body["runs"] if run["cut"] == "patch"]
    assert len(runs) == 2
    kit = studio.kit({**body, "runs": runs})
    cloths = [run.payload["material"]["name"] for run in kit.runs]
    assert sorted(cloths) == ["sand", "tide"]
    for run, cloth in zip(kit.runs, cloths, strict=True):
        (load,) = run.loads
        assert (load.repeats, sum(load.outlines.values())) == (4, 6)
        assert kit.sheet.says(cloth)
        assert kit.sheet.counts(next(iter(load.outlines)), 24, 24, 0)
        # 165.1 mm, and half of the beam's 0.2 mm on every side; a way in is no cell.
        cells = foreign.cells(foreign.svg(load.file("svg")))
        assert [each.area for each in cells] == pytest.approx([165.3**2] * 6, abs=0.5)
