"""Plain paragraphs for the PDF: without markup, and with lines broken only once.

A run sheet consists mostly of short plain lines in tables. reportlab would parse each as markup,
and break it again each time a table asks for its height, which takes half of a sheet's time.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from service.documents.type_face import shown


class _Plain(Paragraph):  # type: ignore[misc]
    """A paragraph that breaks its lines again only if the width changes."""

    _wrapped_width: float | None = None

    def wrap(self, availWidth: float, availHeight: float) -> tuple[float, float]:  # noqa: N803
        """Return the width and height that the text takes, in points."""
        # The halves of a split paragraph also have lines, but these cannot be drawn: only lines
        # that were broken here are reused.
        if self._wrapped_width != availWidth or getattr(self, "blPara", None) is None:
            super().wrap(availWidth, availHeight)
            self._wrapped_width = availWidth
        return self.width, self.height


def paragraph(text: str, style: ParagraphStyle, bullet: str | None = None) -> Paragraph:
    """Return a paragraph of text without markup; letters that the font lacks become boxes."""
    return _Plain("", style, bullet, [_piece(" ".join(shown(text).split()), style)])


def headed(label: str, text: str, style: ParagraphStyle, bold: ParagraphStyle) -> Paragraph:
    """Return a paragraph with a bold label and text, both without markup."""
    text = " ".join(shown(text).split())
    return _Plain("", style, None, [_piece(f"{shown(label)} ", bold), _piece(text, style)])


def headed_row(
    facts: Iterable[tuple[str, str]], style: ParagraphStyle, bold: ParagraphStyle
) -> Paragraph:
    """Return labels, bold, and texts one after another in one paragraph, without markup."""
    frags = []
    for label, text in facts:
        frags.append(_piece(f"{shown(label)} ", bold))
        # Spaces that do not break: several stay several.
        frags.append(_piece(" ".join(shown(text).split()) + "\u00a0\u00a0\u00a0 ", style))
    return _Plain("", style, None, frags)


def _piece(text: str, style: ParagraphStyle) -> Any:  # noqa: ANN401 - the typesetter's own
    found = copy.copy(_like(style))
    found.text = text
    return found


@lru_cache(maxsize=64)
def _like(style: ParagraphStyle) -> Any:  # noqa: ANN401 - the typesetter's own
    """Return the parsed fragment of a letter in a style, as a template for other text."""
    return Paragraph("x", style).frags[0]
