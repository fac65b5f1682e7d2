"""The letters of what is printed: one font, embedded, for Latin, Greek and Cyrillic.

It is part of the package, so that a sheet looks the same on every machine. A letter that it lacks
is drawn as an empty box, and ``lacking`` finds it for a warning.
"""

from __future__ import annotations

import dataclasses
import unicodedata
from collections.abc import Iterator
from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from service.documents.fonts import BOLD_FILE, REGULAR_FILE

#: Names of the fonts in paragraph styles and on canvases.
REGULAR, BOLD = "DejaVuSansCondensed", "DejaVuSansCondensed-Bold"
#: Stands for a letter that the font lacks.
BOX = "\u25a1"
#: Where records of printed texts are defined.
_OURS = "service.documents."


def _loaded() -> frozenset[str]:
    """Register the fonts with the typesetter and return the letters that both have."""
    fonts = [TTFont(REGULAR, str(REGULAR_FILE)), TTFont(BOLD, str(BOLD_FILE))]
    for font in fonts:
        pdfmetrics.registerFont(font)
    pdfmetrics.registerFontFamily(REGULAR, REGULAR, BOLD, REGULAR, BOLD)
    common = set.intersection(*(set(font.face.charToGlyph) for font in fonts))
    return frozenset(chr(code) for code in common)


_LETTERS = _loaded()


def shown(text: str) -> str:
    """Return the text as the font can show it: accents composed, other letters as boxes."""
    if text.isascii():
        return text
    composed = unicodedata.normalize("NFC", text)
    return "".join(each if each in _LETTERS or each.isspace() else BOX for each in composed)


def lacking(value: Any) -> str:  # noqa: ANN401 - a sheet or a page, or any part of one
    """Return the letters in a sheet's texts that the font lacks, in order, each once."""
    found: dict[str, None] = {}
    for text in _texts(value):
        if not text.isascii():
            composed = unicodedata.normalize("NFC", text)
            found.update(
                (each, None) for each in composed if each not in _LETTERS and not each.isspace()
            )
    return "".join(found)


def _texts(value: Any) -> Iterator[str]:  # noqa: ANN401 - as above
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from _texts(each)
    elif dataclasses.is_dataclass(value) and type(value).__module__.startswith(_OURS):
        for each in dataclasses.fields(value):
            yield from _texts(getattr(value, each.name))
