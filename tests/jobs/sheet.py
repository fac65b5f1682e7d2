"""The text of a run sheet or of labels, read from the PDF by pdfium; numbers and terms only."""

from __future__ import annotations

import io
import re
from functools import cached_property

import pypdf

from tests.printed_words import printed_words


class Sheet:
    """A printed document.

    Wording changes more often than facts do, so jobs look for numbers and the trade's terms
    through ``says`` and never for sentences.
    """

    def __init__(self, data: bytes) -> None:
        assert data.startswith(b"%PDF-")
        self.data = data

    @cached_property
    def reader(self) -> pypdf.PdfReader:
        """The document as pypdf reads it: its pages' sizes and order."""
        return pypdf.PdfReader(io.BytesIO(self.data))

    @cached_property
    def text(self) -> str:
        """All pages' text in one line, lower case, blanks as one space."""
        return printed_words(self.data).lower()

    @property
    def page_sizes_mm(self) -> list[tuple[float, float]]:
        boxes = [page.mediabox for page in self.reader.pages]
        return [(float(b.width) * 25.4 / 72, float(b.height) * 25.4 / 72) for b in boxes]

    def says(self, *terms: str | int) -> bool:
        """Return whether every term stands in the text as whole words or numbers."""
        missing = [each for each in terms if not self._stands(str(each).lower())]
        assert not missing, f"the sheet does not say {missing}: {self.text[:3000]}"
        return True

    def is_silent_about(self, *terms: str) -> bool:
        """Return whether none of the terms stands in the text."""
        found = [each for each in terms if self._stands(each.lower())]
        assert not found, f"the sheet says {found}: {self.text[:3000]}"
        return True

    def together(self, *terms: str | int, within: int = 80) -> bool:
        """Return whether the terms stand in this order, each near to the one before."""
        gap = f".{{0,{within}}}?"
        patterns = [_whole(str(each).lower()) for each in terms]
        assert re.search(gap.join(patterns), self.text), (
            f"the sheet does not say {terms} together: {self.text[:3000]}"
        )
        return True

    def counts(self, piece: str, requested: int, made: int, spare: int) -> bool:
        """Return whether the row of a run's totals stands there."""
        return self.together(piece, requested, made, spare, within=12)

    def _stands(self, term: str) -> bool:
        return re.search(_whole(term), self.text) is not None


def _whole(term: str) -> str:
    """Return a pattern for a term that is no part of a longer word or number."""
    spaced = r"\s+".join(re.escape(word) for word in term.split())
    return rf"(?<![\w.,]){spaced}(?![\w]|[.,]\d)"
