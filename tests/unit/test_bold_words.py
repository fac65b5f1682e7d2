"""Words marked bold are printed bold: the embedded font's family is known to the typesetter."""

from __future__ import annotations

from reportlab.platypus import Paragraph

from service.documents.pdf import BODY
from service.documents.type_face import BOLD, REGULAR
from service.documents.wording import CHECK


def test_the_check_starts_bold() -> None:
    fonts = {frag.text.strip(): frag.fontName for frag in Paragraph(CHECK, BODY).frags}
    assert fonts["Check first."] == BOLD
    assert fonts["1 in (25.4 mm)"] == BOLD
    assert REGULAR in fonts.values()
