"""No line of a printed page ends inside a length: 50 1/2 in is not read as 50, nor as 1/2 in."""

from __future__ import annotations

import io
import re
from itertools import pairwise

import pypdfium2
import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from service.documents.label_text import LabelText, lines_of
from service.documents.plain import paragraph
from service.documents.type_face import REGULAR
from service.documents.typesetting import BODY
from tests.jobs.studio import Json, Studio

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

PLAN: Json = {
    "title": "Capstan octagons",
    "units": "in",
    "tiling": "octagon_square",
    "side": "2",
    "quilt": {"width": 50, "length": 60},
    "fit": "borders",
}
WORDS = "2 strips 3 13/16 in x 58 1/2 in; ends: 2 strips 1 9/16 in x 50 1/2 in, 12.5 mm"


def _parted(lines: list[str]) -> list[tuple[str, str]]:
    """Return lines that end in a number whose fraction or unit begins the next line."""
    return [
        (one, other)
        for one, other in pairwise(lines)
        if re.search(r"\d$", one.strip()) and re.match(r"\d+/\d|(in|mm|cm|m|yd)\b", other.strip())
    ]


def test_borders_of_octagons_are_told_in_whole_numbers(studio: Studio) -> None:
    """9 x 12 octagons of 2 in are 43.4558 x 57.9411 in: borders of 3.2721 and 1.0294 in.

    Sides are cut 3.7721 x 58.4411 in, by ruler 3 13/16 x 58 1/2; ends 1.5294 x 50.5 in, by ruler
    1 9/16 x 50 1/2. Line by line as another reader finds them, each length is on one line.
    """
    answer = studio.client.post("/v1/quilt-plans", json=PLAN, headers={"Accept": "application/pdf"})
    pages = pypdfium2.PdfDocument(io.BytesIO(answer.data))
    lines = [line for page in pages for line in page.get_textpage().get_text_range().splitlines()]
    assert _parted(lines) == []
    text = re.sub(r"\s+", " ", " ".join(lines))
    assert "sides: 2 strips 3 13/16 in x 58 1/2 in; ends: 2 strips 1 9/16 in x 50 1/2 in" in text


def test_lines_of_any_width_break_beside_lengths() -> None:
    """The longest length, 3 13/16 in, is 47 points wide: it has room on every line."""
    assert stringWidth("3 13/16 in", REGULAR, BODY.fontSize) < 70
    for width in range(70, 400, 7):
        found = paragraph(WORDS, BODY)
        found.wrap(width, 1e6)
        lines = ["".join(_words(line)) for line in found.blPara.lines]
        assert _parted(lines) == [], width
        label = [each.text for each in lines_of([LabelText(WORDS, REGULAR, 10)], width)]
        assert _parted(label) == [], width
        assert " ".join(label) == WORDS


def _words(line: object) -> list[str]:
    """Return the words of a broken line, however the typesetter keeps it."""
    if isinstance(line, tuple):
        return [" ".join(line[1])]
    return [each.text for each in line.words]  # type: ignore[attr-defined]
