"""Words marked bold are printed bold: the embedded font's family is known to the typesetter."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import pytest
from reportlab.platypus import Paragraph

from service.documents.model import RunSheet
from service.documents.type_face import BOLD, REGULAR
from service.documents.typesetting import BODY
from service.documents.wording import check_text


@pytest.mark.parametrize(("units", "side"), [("in", "1 in"), ("mm", "30 mm")])
def test_the_check_starts_bold(units: str, side: str) -> None:
    text = check_text(cast("RunSheet", SimpleNamespace(units=units)))
    fonts = {frag.text.strip(): frag.fontName for frag in Paragraph(text, BODY).frags}
    assert fonts["Check this print first."] == BOLD
    assert fonts[side] == BOLD
    assert REGULAR in fonts.values()
