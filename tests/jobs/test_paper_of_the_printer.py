"""What the sheet asks for where pages of a home printer are cut by hand."""

from __future__ import annotations

import io

import pypdf
import pytest

from tests.jobs import names
from tests.jobs.studio import Json, Kit, Studio

LETTER: Json = {"tool": {"kind": "pen"}, "paper": "letter"}


def _kit(studio: Studio, units: str, size: tuple[str, str], count: int, **run: object) -> Kit:
    shape = {"kind": "rectangle", "width": size[0], "height": size[1]}
    piece = {"id": "R", "shape": shape, names.QUANTITY: count, "seam_allowance": "1/4 in"}
    runs = [{"cut": "template", **run}]
    return studio.kit({"title": "Bell papers", "units": units, "pieces": [piece], "runs": runs})


@pytest.mark.parametrize("formats", [["pdf"], ["pdf", "svg"]])
def test_pages_of_letter_are_whole_sheets(studio: Studio, formats: list[str]) -> None:
    """Letter less 1/4 in is 8 x 10 1/2 in: 5 x 1 1/2 and 4 gaps of 1/8 are 8 in, 3 x 3 and 2 are
    9 1/4: 15 to a page, 30 are one page printed twice, and the check page: 3 sheets of letter.

    No more fit: upright ones cover 7 1/2 of 8 in across, and any column at most 3 x 3 + 1 1/2 in.
    """
    paper = {"name": "office paper", "kind": "paper"}
    kit = _kit(
        studio, "in", ("1 1/2", "3"), 30, cutter=LETTER, gap="1/8", formats=formats, material=paper
    )
    assert kit.run().load_count == 2
    assert kit.sheet.together("3 sheets", "office paper", "letter", "8 1/2 x 11 in", "printer")
    assert "8 x 10 1/2 in" not in kit.sheet.text.partition("for the office")[0]


def test_a_drawing_for_a_plotter_pen_needs_whole_sheets_too(studio: Studio) -> None:
    """Without a PDF there is no check page: 2 sheets, one for each load."""
    paper = {"name": "office paper", "kind": "paper"}
    kit = _kit(
        studio, "in", ("1 1/2", "3"), 30, cutter=LETTER, gap="1/8", formats=["svg"], material=paper
    )
    assert kit.sheet.together("2 sheets", "office paper", "letter", "8 1/2 x 11 in", "each load")


def test_joined_pages_name_their_paper(studio: Studio) -> None:
    """A square of 240 mm spans two pages of A4 (297 - 12.7 = 284.3 mm by 2 x 197.3 - 10): two
    squares take four pages, and the check page: 5 sheets of A4.
    """
    cutter = {"tool": {"kind": "pen"}, "paper": "a4", "pages_across": 2}
    paper = {"name": "lining paper", "kind": "paper"}
    kit = _kit(studio, "mm", ("240", "240"), 2, cutter=cutter, formats=["pdf"], material=paper)
    assert kit.sheet.together("5 sheets", "lining paper", "A4", "210 x 297 mm", "printer")


@pytest.mark.parametrize("turned", [False, True])
def test_a_bed_of_a4_is_printed_on_a4(studio: Studio, turned: bool) -> None:
    """The built-in pen's bed is 210 x 297 mm, less 10 mm: 190 x 277 mm, 7.48 x 10.9 in.

    Squares of 3 in: 2 x 3 = 6 to a sheet, 12 are one file printed twice: a check page and one page
    of A4. On letter, which inches had as a default, the same load took two pages.
    """
    cutter: object = "pen-sheet"
    if turned:
        cutter = {"tool": {"kind": "pen"}, "bed": {"width": "297 mm", "height": "210 mm"}}
    kit = _kit(
        studio,
        "in",
        ("3", "3"),
        12,
        cutter=cutter,
        formats=["pdf"],
        material={"name": "card", "kind": "card"},
    )
    (load,) = kit.run().loads
    assert load.repeats == 2
    pages = pypdf.PdfReader(io.BytesIO(load.file("pdf"))).pages
    sizes = [sorted((float(p.mediabox.width), float(p.mediabox.height))) for p in pages]
    assert sizes == [pytest.approx([210 * 72 / 25.4, 297 * 72 / 25.4], abs=0.1)] * 2
    assert kit.sheet.together("3 sheets", "card", "A4")


def test_a_stated_paper_holds(studio: Studio) -> None:
    """A bed of A4 whose PDF is to be on letter takes two pages a load, as asked."""
    cutter = {
        "tool": {"kind": "pen"},
        "bed": {"width": "210 mm", "height": "297 mm"},
        "formats": {"pdf": {"paper": "letter"}},
    }
    card = {"name": "card", "kind": "card"}
    kit = _kit(studio, "mm", ("80", "280"), 2, cutter=cutter, formats=["pdf"], material=card)
    pages = pypdf.PdfReader(io.BytesIO(kit.run().loads[0].file("pdf"))).pages
    assert {round(float(each.mediabox.width)) for each in pages} <= {612, 792}


@pytest.mark.parametrize(
    ("cutter", "words"),
    [
        (LETTER, "printer; then cut by hand"),
        ("pen-sheet", "printer; then cut by hand (Pen on a sheet, cut by hand)"),
    ],
)
def test_the_picture_names_the_printer_as_the_sheet_does(
    studio: Studio, cutter: object, words: str
) -> None:
    """No pen draws a run that is printed; what a plotter draws is still a pen's."""
    paper = {"name": "copy paper", "kind": "paper"}
    kit = _kit(studio, "in", ("3", "3"), 4, cutter=cutter, formats=["pdf"], material=paper)
    (load,) = kit.run().loads
    assert f">copy paper on {words}<" in load.picture
    assert kit.sheet.says(words)
    drawn = _kit(studio, "in", ("3", "3"), 4, cutter=LETTER, formats=["svg"], material=paper)
    (load,) = drawn.run().loads
    assert ">copy paper on pen: it draws; then cut by hand<" in load.picture
