"""The letters of what is printed: one font, embedded, for Latin, Greek and Cyrillic.

It is part of the package, so that a sheet looks the same on every machine. A letter that it lacks
is drawn as an empty box, and ``lacking`` finds it for a warning.
"""

from __future__ import annotations

import dataclasses
import unicodedata
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.pdfdoc import PDFStreamFilterZCompress
from reportlab.pdfbase.ttfonts import TTFont, TTFontFace

from service.documents.fonts import BOLD_FILE, REGULAR_FILE

#: Names of the fonts in paragraph styles and on canvases.
REGULAR, BOLD = "DejaVuSansCondensed", "DejaVuSansCondensed-Bold"
#: Stands for a letter that the font lacks.
BOX = "\u25a1"
#: Number of a font's subsets that are cached.
_KEPT = 16
#: The package of the dataclasses that hold printed texts.
_OURS = "service.documents."


class _Compressed(PDFStreamFilterZCompress):  # type: ignore[misc]
    """A filter of streams that compresses equal content only once."""

    def __init__(self) -> None:
        self.encode = lru_cache(maxsize=_KEPT)(super().encode)


def _keep_subsets(face: TTFontFace) -> None:
    """Have a typeface make and compress the subset of the same letters only once.

    Most documents have the same letters: ASCII and a few signs.
    """
    subset, add, compressed = (
        lru_cache(maxsize=_KEPT)(face.makeSubset),
        face.addSubsetObjects,
        _Compressed(),
    )

    def add_subset(doc: Any, name: str, codes: Sequence[int]) -> Any:  # noqa: ANN401 - the library's own
        found = add(doc, name, codes)
        stream = doc.idToObject[f"fontFile:{face.filename}({name})"]
        stream.filters = [compressed for _ in stream.filters]
        return found

    face.makeSubset = lambda codes: subset(tuple(codes))
    face.addSubsetObjects = add_subset


def _loaded() -> frozenset[str]:
    """Register the fonts with the typesetter and return the letters that both have."""
    fonts = [TTFont(REGULAR, str(REGULAR_FILE)), TTFont(BOLD, str(BOLD_FILE))]
    for font in fonts:
        _keep_subsets(font.face)
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
