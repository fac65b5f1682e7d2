"""Plain paragraphs for the PDF: without markup, and with lines broken only once.

A run sheet consists mostly of short plain lines in tables. reportlab would parse each as markup,
and break it again each time a table asks for its height, which takes half of a sheet's time. Most
lines are the same on every sheet, so the last ones are kept.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from service.documents.type_face import shown

#: Letters of a paragraph whose lines are kept for the next time, and how many are.
_MAX_LETTERS, _KEPT = 400, 2048
_Pieces = tuple[tuple[str, ParagraphStyle], ...]
#: Spaces inside a length: before its fraction, and before its unit.
_IN_LENGTH = re.compile(r"(?<=\d) (?=\d+/\d|(?:in|mm|cm|m|yd)\b)")


def on_one_line(text: str) -> str:
    """Return text as the font can show it, with single spaces.

    Those inside a length do not break: "50" at the end of a line is not 50 1/2 in.
    """
    return _IN_LENGTH.sub("\u00a0", " ".join(shown(text).split()))


class _Plain(Paragraph):  # type: ignore[misc]
    """A paragraph that breaks its lines again only if the width changes."""

    _wrapped_width: float | None = None
    #: Its texts and their styles, unless it is long or a half of a split paragraph.
    pieces: _Pieces | None = None
    _frags: list[Any]

    @property
    def frags(self) -> list[Any]:
        """Return its fragments, as the library calls texts and styles; mostly nobody asks."""
        if self.pieces is not None and not self._frags:
            self._frags = _fragments(self.pieces)
        return self._frags

    @frags.setter
    def frags(self, found: list[Any]) -> None:
        self._frags = found

    def wrap(self, availWidth: float, availHeight: float) -> tuple[float, float]:  # noqa: N803
        """Return the width and height that the text takes, in points."""
        # The halves of a split paragraph also have lines, but these cannot be drawn: only lines
        # that were broken here are reused.
        if self._wrapped_width != availWidth or getattr(self, "blPara", None) is None:
            if self.pieces is None:
                super().wrap(availWidth, availHeight)
            else:
                like = _broken(self.pieces, self.style, self.bulletText, availWidth)
                self.width, self.height = like.width, like.height
                self.blPara = like.blPara
                self._wrapWidths = like._wrapWidths  # noqa: SLF001 - one of its own
            self._wrapped_width = availWidth
        return self.width, self.height

    def split(self, availWidth: float, availHeight: float) -> list[Paragraph]:  # noqa: N803
        """Return the halves of a paragraph that does not fit."""
        # They change the words of the lines that they are made of: not those that are kept.
        super().wrap(availWidth, availHeight)
        return list(super().split(availWidth, availHeight))


def _plain(pieces: _Pieces, style: ParagraphStyle, bullet: str | None = None) -> Paragraph:
    if sum(len(text) for text, _ in pieces) > _MAX_LETTERS:
        return _Plain("", style, bullet, _fragments(pieces))
    found = _Plain("", style, bullet, [])
    found.pieces = pieces
    return found


@lru_cache(maxsize=_KEPT)
def _broken(pieces: _Pieces, style: ParagraphStyle, bullet: str | None, width: float) -> Paragraph:
    """Return a paragraph whose lines are broken; most are the same on every sheet."""
    found = Paragraph("", style, bullet, _fragments(pieces))
    found.wrap(width, 0.0)
    return found


def paragraph(text: str, style: ParagraphStyle, bullet: str | None = None) -> Paragraph:
    """Return a paragraph of text without markup; letters that the font lacks become boxes."""
    return _plain(((on_one_line(text), style),), style, bullet)


def headed(label: str, text: str, style: ParagraphStyle, bold: ParagraphStyle) -> Paragraph:
    """Return a paragraph with a bold label and text, both without markup."""
    return _plain(((f"{shown(label)} ", bold), (on_one_line(text), style)), style)


def headed_row(
    facts: Iterable[tuple[str, str]], style: ParagraphStyle, bold: ParagraphStyle
) -> Paragraph:
    """Return labels, bold, and texts one after another in one paragraph, without markup."""
    pieces = []
    for label, text in facts:
        pieces.append((f"{shown(label)} ", bold))
        # Spaces that do not break: several stay several.
        pieces.append((on_one_line(text) + "\u00a0\u00a0\u00a0 ", style))
    return _plain(tuple(pieces), style)


def _fragments(pieces: _Pieces) -> list[Any]:
    return [_piece(*each) for each in pieces]


def _piece(text: str, style: ParagraphStyle) -> Any:  # noqa: ANN401 - the typesetter's own
    found = copy.copy(_like(style))
    found.text = text
    return found


@lru_cache(maxsize=64)
def _like(style: ParagraphStyle) -> Any:  # noqa: ANN401 - the typesetter's own
    """Return the parsed fragment of a letter in a style, as a template for other text."""
    return Paragraph("x", style).frags[0]
