"""A disc larger than A4, printed at home on pages to be joined."""

from __future__ import annotations

import math

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

PEN = {
    "tool": {"kind": "pen"},
    "bed": {"width": 35, "height": 45},
    "formats": {"pdf": {"paper": "a4", "margin_mm": 10, "overlap_mm": 10}},
}
REQUEST = {
    "title": "Compass rose at home",
    "units": "cm",
    "pieces": [
        {
            "id": "DISC",
            "shape": {"kind": "circle", "diameter": 30},
            "quantity": 2,
            "seam_allowance": 1,
        }
    ],
    "runs": [
        {
            "cut": cut,
            "cutter": PEN,
            "effort": "quick",
            "formats": ["pdf"],
            "material": {"name": name, "kind": kind},
        }
        for cut, name, kind in (("template", "paper", "paper"), ("patch", "sailcloth", "fabric"))
    ],
}


def test_compass_rose_pages(studio: Studio) -> None:
    """A disc of 300 mm, and of 320 with its allowance; two of either do not fit on 350 x 450.

    A4 less 10 mm all round prints 190 x 277 mm. With 10 mm of overlap two pages across cover 370
    and two down 544: 4 pages for either, and a page to check first. Way round: 300 pi = 942.5 mm
    and 320 pi = 1005.3. By hand at 10 mm/s that is 94 and 101 s, drawn at 50 mm/s 19 and 20 s, and
    20 s for loading: 133 and 141 s for each of two.
    """
    kit = studio.kit(REQUEST)
    for run, size, seconds in zip(kit.runs, (300.0, 320.0), (133, 141), strict=True):
        (load,) = run.loads
        assert (load.repeats, load.outlines) == (2, {"DISC": 1})
        assert run.total("DISC") == (2, 2, 0)
        assert load.payload["cut_length_mm"] == pytest.approx(size * math.pi, abs=0.1)
        assert seconds - 1 < load.payload["estimated_s"] < seconds + 4
        pages = foreign.pdf_pages_mm(load.file("pdf"))
        assert len(pages) == 5
        assert all(sorted(each) == pytest.approx([210.0, 297.0], abs=0.5) for each in pages)
        text = foreign.pdf_text(load.file("pdf"))
        assert "4 pages follow" in text
        # An arc of the right radius stands on a page.
        arcs = [
            line
            for page in range(1, 5)
            for line in foreign.pdf(load.file("pdf"), page)
            if len(line.points) > 60
        ]
        assert arcs
        xs, ys = zip(*max(arcs, key=lambda each: each.length).points, strict=True)
        assert max(max(xs) - min(xs), max(ys) - min(ys)) <= size + 0.1
    assert kit.run(1).loads[0].file_names == ["1-template-paper-1.pdf"]
    assert kit.run(2).loads[0].file_names == ["2-patch-sailcloth-1.pdf"]
    # A pen draws on the side that is up, and a disc is its own mirror image.
    assert kit.sheet.says("Load paper", "Load sailcloth, wrong side up", "100 %")
    assert kit.labels.together("DISC", "2 patches", "finished diameter 30 cm")
