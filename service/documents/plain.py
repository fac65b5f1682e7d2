"""Text set as it stands: no markup is read in it, and its lines are broken once.

A run sheet is mostly short plain lines inside tables. The typesetter would read each as markup,
and break it anew each time that a table asks how tall it is: half of the time of a sheet.
"""

from __future__ import annotations

import copy
from functools import lru_cache
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from service.documents.drawing import latin


class _Plain(Paragraph):  # type: ignore[misc]
    """A paragraph whose lines stay broken while the width stays the same."""

    _wrapped_width: float | None = None

    def wrap(self, availWidth: float, availHeight: float) -> tuple[float, float]:  # noqa: N803
        """Return the width and height that the text takes, in points."""
        # The halves of a split paragraph carry lines too, but not ones that can be drawn: only
        # lines that were broken here are used again.
        if self._wrapped_width != availWidth or getattr(self, "blPara", None) is None:
            super().wrap(availWidth, availHeight)
            self._wrapped_width = availWidth
        return self.width, self.height


def paragraph(text: str, style: ParagraphStyle, bullet: str | None = None) -> Paragraph:
    """Return text as it stands, no markup read in it; letters the PDF cannot show become ``?``."""
    return _Plain("", style, bullet, [_piece(" ".join(latin(text).split()), style)])


def headed(label: str, text: str, style: ParagraphStyle, bold: ParagraphStyle) -> Paragraph:
    """Return text behind a label in bold, both as they stand."""
    text = " ".join(latin(text).split())
    return _Plain("", style, None, [_piece(f"{latin(label)} ", bold), _piece(text, style)])


def _piece(text: str, style: ParagraphStyle) -> Any:  # noqa: ANN401 - the typesetter's own
    found = copy.copy(_like(style))
    found.text = text
    return found


@lru_cache(maxsize=64)
def _like(style: ParagraphStyle) -> Any:  # noqa: ANN401 - the typesetter's own
    """Return what the markup reader makes of a letter in a style, to be copied for other text."""
    return Paragraph("x", style).frags[0]
