"""Texts of any script in plain letters, for comments that machines read.

Source:
    ISO 9:1995 for Cyrillic and ISO 843:1997 for Greek, without their accents; for other scripts the
    names of letters in the Unicode Character Database, which romanise kana, Hangul syllables and
    the letters of many more. An ideograph has no such name and becomes its code, such as U85CD.
"""

# ruff: noqa: RUF001 - letters of other scripts are what this is about

from __future__ import annotations

import re
import unicodedata
from typing import Final

#: Latin letters that Unicode does not decompose into a plain letter and an accent.
_LATIN: Final = {
    "ß": "ss", "æ": "ae", "Æ": "Ae", "œ": "oe", "Œ": "Oe", "ø": "o", "Ø": "O", "ł": "l",
    "Ł": "L", "đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "\u0131": "i",
    "ŋ": "n",
}  # fmt: skip
#: Each letter with its plain ones.
_CYRILLIC: Final = (
    "аa бb вv гg дd еe жzh зz иi йj кk лl мm нn оo пp рr сs тt уu фf хh цc чch шsh щshh ъ ыy ь "
    "эe юyu яya іi їyi єye ґg"
)
_GREEK: Final = "αa βv γg δd εe ζz ηi θth ιi κk λl μm νn ξx οo πp ρr σs ςs τt υy φf χch ψps ωo"
_SMALL: Final = {pair[0]: pair[1:] for pair in f"{_CYRILLIC} {_GREEK}".split(" ")}
_LATIN_TABLE: Final = {ord(each): plain for each, plain in _LATIN.items()}
_LARGE: Final = {each.upper(): plain.capitalize() for each, plain in _SMALL.items() if each != "ς"}
_TABLE: Final = {ord(each): plain for each, plain in {**_LATIN, **_SMALL, **_LARGE}.items()}
_LETTER: Final = re.compile(r"\b(?:LETTER|SYLLABLE|SIGN)\b(?: SMALL)? (.+)$")


def plain_letters(text: str) -> str:
    """Return a text with accented Latin letters written as plain ones."""
    apart = unicodedata.normalize("NFKD", text.translate(_LATIN_TABLE))
    return "".join(each for each in apart if not unicodedata.combining(each))


def transliterated(text: str) -> str:
    """Return a text in ASCII, with the letters of every script as plain ones."""
    found: list[str] = []
    # Composed, because a Hangul syllable and an accented kana have names, and their parts do not.
    for char in unicodedata.normalize("NFKC", text).translate(_TABLE):
        plain = _by_name(char) if _is_named(char) else plain_letters(char).translate(_TABLE)
        found.extend(each if each.isascii() else _by_name(each) for each in plain)
    return "".join(found)


def _is_named(char: str) -> bool:
    """Return whether a character is known by its name: of no script that a table is for."""
    name = unicodedata.name(char, "")
    return not char.isascii() and not name.startswith(("LATIN", "GREEK", "CYRILLIC"))


def _by_name(char: str) -> str:
    found = _LETTER.search(unicodedata.name(char, ""))
    if found:
        return found[1].replace(" ", "").lower()
    return f" U{ord(char):04X} " if unicodedata.category(char) == "Lo" else " "
