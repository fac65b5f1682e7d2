"""Shapes and their sizes in the language of a sheet."""

from __future__ import annotations

import re

from geometry.shapes.words import size_words
from service.texts import gettext as _

_DEGREES = "degrees"


def shown_shape(title: str) -> str:
    """Return what a shape is called."""
    return _(title)


def shown_size(size: str) -> str:
    """Return a size as a request wrote it, with the catalogue's words in the sheet's language."""
    return _words().sub(lambda found: _(found[0]), size)


def _words() -> re.Pattern[str]:
    """Return a pattern of the words of sizes, the longest first: ``long side`` before ``side``."""
    known = sorted(dict.fromkeys(size_words()), key=len, reverse=True)
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, known))})\b")
