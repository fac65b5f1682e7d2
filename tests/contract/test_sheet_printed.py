"""The run sheet's PDF, read by pypdf and pdfium: what stands where, counted and measured."""

from __future__ import annotations

import io
import re
from itertools import pairwise
from typing import Any

import pypdf
import pypdfium2
import pytest

from service.tools.built_in import BUILT_IN
from tests import requested
from tests.printed_words import words_by_page

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

SQUARE = {"id": "S", "shape": {"kind": "square", "side": "50 mm"}, "quantity": 5}
#: ISO 216 in points; the margins that the sheet keeps, less half a line's width.
A4, MARGIN = (210 / 25.4 * 72, 297 / 25.4 * 72), 39.0


def run(name: str, **more: Any) -> dict[str, Any]:
    return {
        "cut": "template", "cutter": "pen-sheet", "effort": "quick", "formats": ["svg", "plan"],
        "material": {"name": name, "kind": "card", "width": "210 mm", "height": "297 mm"},
        **more,
    }  # fmt: skip


def sheet(runs: list[dict[str, Any]], units: str = "mm", **more: Any) -> dict[str, bytes]:
    body = {
        "title": "Quay squares", "units": units, "documents": ["run_sheet"], "pieces": [SQUARE],
        "runs": runs, **more,
    }  # fmt: skip
    return dict(requested.kit(body, BUILT_IN.get, read_back=False).files)


pages = words_by_page


@pytest.fixture(scope="module")
def twelve() -> bytes:
    """Twelve runs of one load each."""
    return sheet([run(f"card {number}") for number in range(1, 13)])["run-sheet.pdf"]


@pytest.fixture(scope="module")
def often() -> bytes:
    """90 x 110 mm hold one square of 80 mm (two take 160): 13 of it are one load, cut 13 times."""
    pen = {"tool": {"kind": "pen"}, "bed": {"width": "90 mm", "height": "110 mm"}}
    big = SQUARE | {"shape": {"kind": "square", "side": "80 mm"}, "quantity": 13}
    material = {"name": "card", "kind": "card"}
    return sheet([run("card", cutter=pen, material=material)], pieces=[big])["run-sheet.pdf"]


def test_contents_name_the_page_of_every_load(twelve: bytes) -> None:
    text = pages(twelve)
    rows = re.findall(r"(Run (\d+): template, card \d+, load 1) once (\d+)", " ".join(text))
    assert [int(number) for _, number, _ in rows] == list(range(1, 13))
    for heading, _, page in rows:
        # On the page that the table names the load is cut, not only listed.
        below = text[int(page) - 1].rpartition(heading)[2]
        assert "Draw it once" in below, (heading, page)


def test_few_loads_have_no_contents(often: bytes) -> None:
    assert "Contents" not in " ".join(pages(often))


def test_every_load_stands_beside_its_picture(twelve: bytes) -> None:
    """A load's heading and its last line are on one page."""
    text = pages(twelve)
    for number in range(1, 13):
        heading = f"Run {number}: template, card {number}, load 1"
        # The contents name the load too, without what is done with it.
        found = [each.rpartition(heading)[2] for each in text if heading in each]
        assert any(
            "Draw it once" in each and f"Load card {number}, its lower left corner" in each
            for each in found
        )


def test_every_repeat_piece_and_stop_has_a_box(often: bytes) -> None:
    """13 repeats: 13 boxes of 11 points. What is done 13 times has a number, no box of its own."""
    reader = pypdf.PdfReader(io.BytesIO(often))
    boxes = 0
    for page in reader.pages:
        content = page.get_contents()
        assert content is not None
        for args, operator in content.operations:
            if operator == b"re" and [float(each) for each in args[2:]] == [11.0, 11.0]:
                boxes += 1
    assert "Draw it 13 times" in " ".join(pages(often))
    assert boxes == 13


def test_what_is_done_once_has_a_box_for_each_count_and_step(twelve: bytes) -> None:
    """Twelve loads of one piece and three steps each, load, draw and cut: 12 x 4 boxes."""
    boxes = 0
    for page in pypdf.PdfReader(io.BytesIO(twelve)).pages:
        content = page.get_contents()
        assert content is not None
        for args, operator in content.operations:
            if operator == b"re" and [float(each) for each in args[2:]] == [11.0, 11.0]:
                boxes += 1
    assert boxes == 12 * 4


def test_nothing_is_drawn_outside_the_margins(twelve: bytes, often: bytes) -> None:
    for data in (twelve, often):
        document = pypdfium2.PdfDocument(data)
        for page in document:
            for each in page.get_objects():
                left, bottom, right, top = each.get_bounds()
                assert left >= MARGIN, each
                assert right <= A4[0] - MARGIN, each
                assert top <= A4[1] - MARGIN, each
                # The footer stands below the text.
                assert bottom >= MARGIN - 9, each
        document.close()


def test_lengths_are_in_the_units_of_the_request_and_in_both_where_both_are_asked() -> None:
    """50 mm are 1.968504 in, the check square 1 in or 30 mm."""
    runs = [run("card")]
    inch = " ".join(pages(sheet(runs, "in")["run-sheet.pdf"]))
    assert not re.search(r"\d (mm|cm|m)\b", inch.replace("side 50 mm", ""))
    assert "1.9685 x 1.9685 in" in inch
    metric = " ".join(pages(sheet(runs, "mm")["run-sheet.pdf"]))
    assert not re.search(r"\d (in|ft)\b", metric)
    assert "50 x 50 mm" in metric
    both = " ".join(pages(sheet(runs, "mm", second_units="in")["run-sheet.pdf"]))
    assert "50 x 50 mm (1.969 x 1.969 in)" in both


@pytest.mark.parametrize("units", ["mm", "in"])
def test_no_length_is_stated_twice_in_the_same_unit(units: str) -> None:
    one, twice = sheet([run("card")], units), sheet([run("card")], units, second_units=units)
    assert one["run-sheet.html"] == twice["run-sheet.html"]


def test_the_order_of_the_work_is_kept(often: bytes) -> None:
    text = " ".join(pages(often))
    order = [
        "Cautions", "Check this print first", "Run 1: template, card", "Prepare", "Get ready 13",
        "Test cut", "one S", "measure it", "If the test cut is wrong", "load 1", "Draw it 13 times",
        "File:", "In all", "For the office",
    ]  # fmt: skip
    at = 0
    for words in order:
        assert words in text[at:], words
        at = text.index(words, at)
    # The table of pieces stands where a page has room for it.
    assert "Pieces S:" in text
    assert "Needed" in text
    assert "For the office" in pages(often)[-1]


def test_title_and_language_are_set(often: bytes) -> None:
    reader: Any = pypdf.PdfReader(io.BytesIO(often))
    assert reader.metadata.title == "Quay squares"
    assert reader.trailer["/Root"]["/Lang"] == "en"


def test_the_page_has_headings_table_headers_and_texts_for_its_drawings() -> None:
    page = sheet([run("card")])["run-sheet.html"].decode()
    levels = [int(each) for each in re.findall(r"<h([1-6])", page)]
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert all('scope="' in each for each in re.findall(r"<th[^>]*>", page))
    for drawing in re.findall(r"<svg[^>]*>", page):
        assert re.search(r'role="img" aria-label="[^"]+"', drawing)


def test_the_same_request_has_the_same_bytes() -> None:
    first, second = (sheet([run("card")], second_units="in") for _ in range(2))
    assert first == second
