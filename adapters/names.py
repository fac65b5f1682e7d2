"""Names in files: operations, blade angles, pieces."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from geometry.model.plan import NOTES, Stroke

#: Latin letters that Unicode does not decompose into a plain letter and an accent.
_LETTERS: Final = str.maketrans(
    {
        "ß": "ss", "æ": "ae", "Æ": "Ae", "œ": "oe", "Œ": "Oe", "ø": "o", "Ø": "O", "ł": "l",
        "Ł": "L", "đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "\u0131": "i",
        "ŋ": "n",
    }
)  # fmt: skip
_NOT_PLAIN = re.compile(r"[^A-Za-z0-9]+")


def layer_of(stroke: Stroke) -> str:
    """Return the layer of a stroke: its operation and the blade's angle, if it has one."""
    if stroke.part in NOTES:
        # Notes to a die's maker are not cut or drawn, so they have their own layers.
        return stroke.part
    if stroke.angle_deg is None:
        return stroke.operation
    angle = f"{stroke.angle_deg:g}".replace(".", "p").replace("-", "m")
    return f"{stroke.operation}-{angle}deg"


def plain_letters(text: str) -> str:
    """Return a text with accented Latin letters written as plain ones."""
    apart = unicodedata.normalize("NFKD", text.translate(_LETTERS))
    return "".join(each for each in apart if not unicodedata.combining(each))


def plain(text: str, most: int = 24) -> str:
    """Return a text reduced to ASCII letters, digits, single hyphens; ``x`` if nothing is left."""
    return _NOT_PLAIN.sub("-", plain_letters(text)).strip("-")[:most].strip("-") or "x"


def comment(text: str, most: int = 60) -> str:
    """Return a text that is safe inside any format's comment: one short plain line."""
    letters = plain_letters(text)
    kept = "".join(c if c.isascii() and (c.isalnum() or c in " -_.,:/'") else " " for c in letters)
    return " ".join(kept.split())[:most]
