"""Large petals printed at home: too large for one A4 sheet, true size over several."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

PIECES: list[dict[str, Any]] = [
    {"id": "BIG", "shape": {"kind": "petal", "length": 34}, "quantity": 2, "seam_allowance": 0.75},
    {
        "id": "SMALL",
        "shape": {"kind": "hexagon", "side": 3},
        "quantity": 20,
        "seam_allowance": 0.75,
    },
]


def test_a_petal_too_large_for_a4(studio: Studio) -> None:
    """A petal of 34 cm is 0.41421 x 34 = 14.08 cm wide; A4 less 1 cm all round is 19 x 27.7 cm.

    Turned by t from upright a petal of length L, two quarter circles of radius L / root 2, reaches
    L cos t up (its tips) and 2 x L / root 2 - L cos t across (its arcs): together root 2 x L. So
    L <= (19 + 27.7) / root 2 = 33.02 cm, and that one fits, at cos t = 27.7 / 33.02, t = 33
    degrees: 0.97123 of the 34 cm requested.
    """
    problem = studio.refused(
        {
            "title": "Petals for the mess deck",
            "units": "cm",
            "pieces": PIECES,
            "runs": [
                {
                    "cut": "template",
                    "cutter": "pen-sheet",
                    "formats": ["pdf"],
                    "material": {"name": "A4 paper", "kind": "paper", "width": 21, "height": 29.7},
                }
            ],
        }
    )
    assert problem["type"] == "/problems#does-not-fit"
    assert problem["piece"] == "BIG"
    most = (19.0 + 27.7) / math.sqrt(2.0) / 34.0
    assert problem["largest"]["scale"] == pytest.approx(most, abs=1e-4)
    assert problem["short_by_mm"] > 0.0


def test_petals_over_a4_pages(studio: Studio) -> None:
    """A board of 40 x 60 cm printed on A4: a check page and pages of 210 x 297 mm.

    A page shows 190 x 277 mm. The board is 3 x 3 of them upright, 2 x 4 lying: with the check
    page 9 at most, blank ones left out. Petals have 0.5708 x 24.04^2 = 330 cm2, hexagons 23.4:
    1127 cm2 of 526 per page, three pages and the check page at least. Lines: two petals, each two
    quarter circles of radius 34 / root 2 = 24.04 cm, 2 x 2 x 37.76 = 151.05 cm, and 20 hexagons
    of 18 cm, 360 cm: 5110.5 mm drawn.
    """
    kit = studio.kit(
        {
            "title": "Petals for the mess deck",
            "units": "cm",
            "pieces": PIECES,
            "runs": [
                {
                    "cut": "template",
                    "cutter": {
                        "tool": {"kind": "pen"},
                        "bed": {"width": 40, "height": 60},
                        "formats": {"pdf": {"paper": "a4"}},
                    },
                    "formats": ["pdf", "plan"],
                    "material": {"name": "A4 paper", "kind": "paper"},
                    "gap": "1 mm",
                    "effort": "quick",
                }
            ],
        }
    )
    run = kit.run()
    assert run.total("BIG") == (2, 2, 0)
    assert run.total("SMALL") == (20, 20, 0)
    assert run.load_count == 1
    assert run.loads[0].payload["cut_length_mm"] == pytest.approx(5110.5, abs=1.0)
    data = run.loads[0].file("pdf")
    pages = foreign.pdf_pages_mm(data)
    # Upright or lying, whichever takes fewer.
    for page in pages:
        assert sorted(page) == pytest.approx([210.0, 297.0], abs=0.1)
    assert 4 <= len(pages) <= 9
    # How many sheets of paper to lay in is in the answer and on the run sheet.
    (payload,) = [each for each in run.loads[0].payload["files"] if each["format"] == "pdf"]
    assert payload["pages"] == len(pages) - 1
    assert kit.sheet.says(f"check page and {len(pages) - 1} pages")
    text = foreign.pdf_text(data)
    assert "100 %" in text or "100%" in text
    # Every petal's line is on the pages: arcs of 240.4 mm radius, seen on several of them.
    longest = max(
        line.length for number in range(1, len(pages)) for line in foreign.pdf(data, number)
    )
    assert longest >= 377.6
    assert kit.sheet.says("A4 paper", "100 %", "pen")
    assert kit.sheet.page_sizes_mm[0] == pytest.approx((210.0, 297.0), abs=0.5)
