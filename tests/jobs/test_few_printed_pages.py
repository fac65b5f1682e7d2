"""Small pieces beside large ones on home-printed pages: few pages, and words off their lines."""

from __future__ import annotations

import io
from typing import Any

import pypdf
import pytest
import shapely
from reportlab.pdfbase.pdfmetrics import stringWidth

from tests.jobs import foreign
from tests.jobs.studio import Kit, Studio

_MM = 25.4 / 72.0


def _kit(studio: Studio, pieces: list[dict[str, Any]], **cutter: Any) -> Kit:
    return studio.kit(
        {
            "title": "Papers at home",
            "units": "mm",
            "pieces": pieces,
            "runs": [
                {
                    "cut": "template",
                    "cutter": {"tool": {"kind": "pen"}, "paper": "a4", **cutter},
                    "formats": ["pdf"],
                    "gap": 2,
                    "material": {"name": "paper 160", "kind": "paper"},
                }
            ],
        }
    )


@pytest.fixture
def parasol(studio: Studio) -> Kit:
    circle = {"id": "C", "shape": {"kind": "circle", "diameter": 250}}
    square = {"id": "Q", "shape": {"kind": "square", "side": 60}, "quantity": 14}
    return _kit(studio, [circle, square], pages_across=2)


@pytest.fixture
def fan(studio: Studio) -> Kit:
    wedge = {"id": "W", "shape": {"kind": "wedge", "wedges": 8, "radius": 300}, "quantity": 4}
    square = {"id": "S", "shape": {"kind": "square", "side": 90}, "quantity": 5}
    return _kit(studio, [wedge, square], pages_across=2, pages_down=2)


def _pages(kit: Kit) -> list[int]:
    """Return the pages of each load's file, without its check page."""
    loads = kit.run().loads
    assert all(load.repeats == 1 for load in loads)
    return [len(foreign.pdf_pages_mm(load.file("pdf"))) - 1 for load in loads]


def test_squares_beside_a_circle_of_two_pages(parasol: Kit) -> None:
    """A page of A4 less 1/4 in on each side is 197.3 x 284.3 mm.

    A circle of 250 mm takes two, joined. Beside it four squares of 60 mm stand in a column
    (4 x 62 - 2 = 246), on each page one column at least where it lies in the middle, or two on one
    page where it lies at the side: eight. The other six lie on one page (3 x 62 - 2 = 184 across,
    122 up): three pages, and a check page of each of the two files, five sheets of paper.
    """
    assert _pages(parasol) == [2, 1]
    assert parasol.run().outlines == {"C": 1, "Q": 14}
    assert parasol.sheet.says("5 sheets of paper 160")


def test_a_square_lies_with_the_others(fan: Kit) -> None:
    """Four wedges of 45 degrees, 300 mm long and 600 sin 22.5 = 229.6 mm wide, and five squares.

    A wedge is larger than a page; the four take the four joined pages: 4 x 35,343 mm2 of about
    385 x 559. What squares of 90 mm do not lie on one of those pages fit on one page together: it
    holds two across (182 of 197.3) and three up (274 of 284.3). Five pages.
    """
    assert sum(_pages(fan)) == 5
    assert fan.run().outlines == {"W": 4, "S": 5}


@pytest.mark.parametrize("name", ["parasol", "fan"])
def test_no_line_crosses_the_words(name: str, request: pytest.FixtureRequest) -> None:
    """Words on a cut line are cut through, and hide it.

    The words of each page and their places are read by pypdf, their lengths are those of the font's
    own metrics; capitals of Helvetica are 0.72 of the letter height.
    """
    kit: Kit = request.getfixturevalue(name)
    read = 0
    for load in kit.run().loads:
        data = load.file("pdf")
        for number in range(1, len(foreign.pdf_pages_mm(data))):
            lines = foreign.drawn(
                line for line in foreign.pdf(data, number) if _length(line.points) > 40.0
            )
            for words, box in _words(data, number):
                read += 1
                assert not lines.intersects(box), (name, load.number, number, words)
    assert read >= 10


def _length(points: Any) -> float:
    return float(shapely.LineString(points).length)


def _words(data: bytes, number: int) -> list[tuple[str, shapely.Polygon]]:
    found = []

    def visit(text: str, matrix: Any, inside: Any, font: Any, size: float) -> None:
        if not text.strip() or font is None:
            return
        x = (inside[4] * matrix[0] + matrix[4]) * _MM
        y = (inside[5] * matrix[3] + matrix[5]) * _MM
        wide = stringWidth(text.strip(), "Helvetica", size) * _MM
        found.append((text.strip(), shapely.box(x, y, x + wide, y + 0.72 * size * _MM)))

    pypdf.PdfReader(io.BytesIO(data)).pages[number].extract_text(visitor_text=visit)
    return found
