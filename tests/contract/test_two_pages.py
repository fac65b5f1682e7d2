"""A usual kit's sheet takes two pages, and what it measures by stays true on them."""

from __future__ import annotations

import re
from typing import Any

import pypdfium2

from service.tools.built_in import BUILT_IN
from tests import requested

TWO_RUNS: dict[str, Any] = {
    "title": "Pilot's set", "units": "in",
    "pieces": [
        {"id": "A", "shape": {"kind": "hexagon", "side": "1"}, "quantity": 84,
         "seam_allowance": "1/4"},
        {"id": "B", "shape": {"kind": "clamshell", "width": "2"}, "quantity": 12,
         "seam_allowance": "1/4", "corners": {"kind": "blunt"}},
    ],
    "runs": [
        {"cut": "template", "cutter": "drag-blade-sheet", "effort": "quick", "gap": "1 mm",
         "material": {"name": "card", "kind": "card", "width": "8 1/2", "height": "11"}},
        {"cut": "patch", "pieces": [{"id": "A"}], "cutter": "drag-blade-sheet", "effort": "quick",
         "material": {"name": "cotton", "kind": "stiffened_fabric", "width": 12, "height": 12}},
    ],
}  # fmt: skip


def test_two_runs_of_two_loads_take_two_pages_with_pictures_of_48_millimetres() -> None:
    """28 hexagons of 2 x 1.73 in go on Letter, so 84 are 3 alike and 12 more another load.

    The pictures of 11 and 12 in sheets are measured by pdfium: their grounds are the largest
    filled paths. 48 mm are 136.1 points.
    """
    data = requested.kit(
        {"documents": ["run_sheet"], **TWO_RUNS}, BUILT_IN.get, read_back=False
    ).files["run-sheet.pdf"]
    document = pypdfium2.PdfDocument(data)
    texts = [page.get_textpage().get_text_bounded() for page in document]
    office = [at for at, text in enumerate(texts) if "For the office" in text]
    assert office == [2], [text[:60] for text in texts]
    for page in list(document)[:2]:
        grounds = [
            top - bottom
            for each in page.get_objects(max_depth=2)
            if each.type == pypdfium2.raw.FPDF_PAGEOBJ_PATH
            for left, bottom, right, top in (each.get_bounds(),)
            if min(right - left, top - bottom) > 100.0
        ]
        assert grounds
        assert max(grounds) >= 48.0 / 25.4 * 72.0


def test_the_check_square_is_true_on_a_page_that_is_drawn_smaller() -> None:
    """1 in is 72 points, whatever the page's scale is: its square is the only one of that size."""
    data = requested.kit(
        {"documents": ["run_sheet"], **TWO_RUNS}, BUILT_IN.get, read_back=False
    ).files["run-sheet.pdf"]
    page = pypdfium2.PdfDocument(data)[0]
    boxes = [each.get_bounds() for each in page.get_objects(max_depth=2)]
    # With a line of less than half a point on each side; nine tenths of it would be 65.
    sides = [(r - x, t - y) for x, y, r, t in boxes if 60.0 < min(r - x, t - y) < 80.0]
    squares = [each for each in sides if abs(each[0] - each[1]) < 1.0]
    assert squares
    assert all(72.0 <= side <= 73.0 for each in squares for side in each), squares


def test_a_long_title_ends_at_a_word_at_the_page_s_foot_and_the_number_stays() -> None:
    long = " ".join(f"PENNANT{number}" for number in range(10))
    body = TWO_RUNS | {"title": long, "runs": TWO_RUNS["runs"][:1]}
    made = requested.kit(body, BUILT_IN.get, read_back=False)
    page = pypdfium2.PdfDocument(made.files["run-sheet.pdf"])[0]
    foot = page.get_textpage().get_text_bounded(top=46.0)
    assert re.search(r"PENNANT\d+\u2026 [0-9A-Z]{4}-[0-9A-Z]{4}", foot), foot
    assert made.answer["number"] in foot
