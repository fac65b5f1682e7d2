r"""Texts without invisible characters, as they are printed on sheets and labels.

Source:
    Unicode Standard Annex 9, "Unicode Bidirectional Algorithm", 2: characters that turn the
    direction of words. The Unicode Standard, 23.2: the two that join and part letters belong to
    the spelling of words; RFC 5892, appendix A.1 and A.2, says after which letters they stand.
"""

from __future__ import annotations

import unicodedata
from typing import Any, Final

from marshmallow import ValidationError

from service.schemas.context import current
from service.schemas.validation import Pattern

#: Controls, line ends, marks that turn words, and others that show nothing.
PRINTABLE: Final = (
    r"^[^\u0000-\u001f\u007f-\u009f\u00ad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e"
    r"\u2060-\u206f\ufeff\ufff9-\ufffb]*$"
)
_CONTROLS: Final = "Control characters have no place here."
_TURNING: Final = frozenset(
    "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)
_JOINING: Final = frozenset("\u200c\u200d")
#: The category of characters that have no width, and of those that end a line or a paragraph.
_FORMAT, _LINE_ENDS = "Cf", frozenset({"Zl", "Zp"})
#: The categories of marks and of pictures, the class of marks that join Indic letters, and the
#: directions of scripts whose letters join.
_MARK, _PICTURES, _VIRAMA, _JOINED = "Mn", frozenset({"So", "Sk"}), 9, frozenset({"AL", "R"})
#: Those of category Cf that are seen: signs of numbers and verses.
_SEEN: Final = frozenset(
    map(chr, (*range(0x600, 0x606), 0x6DD, 0x70F, 0x890, 0x891, 0x8E2, 0x110BD, 0x110CD))
)


class VisibleText(Pattern):
    """A text of which every character is seen, but for those that join letters of words."""

    def __init__(self) -> None:
        super().__init__(PRINTABLE, error=_CONTROLS)

    def __call__(self, value: Any) -> Any:  # noqa: ANN401 - as the class above
        """Return the text; of a stored request it is what an earlier version took.

        Raises:
            marshmallow.ValidationError: with the first character that is not seen.
        """
        for at, char in enumerate(value):
            if not char.isprintable() and (fault := _fault(value, at)):
                raise ValidationError(fault)
        return value


def _fault(text: str, at: int) -> str:
    """Return what is wrong with a character; empty for one that may stand there."""
    char = text[at]
    category = unicodedata.category(char)
    if current().is_stored:
        return ""
    if category == "Cc":
        return _CONTROLS
    name = f"Character {at + 1} is U+{ord(char):04X}, {unicodedata.name(char, 'without a name')}"
    if category in _LINE_ENDS:
        return f"{name}; write a space instead."
    if char in _TURNING:
        return (
            f"{name}, which cannot be seen and turns words around; leave it out. Letters that are "
            "written from right to left need none."
        )
    if category != _FORMAT or char in _SEEN or (char in _JOINING and _may_join(text, at)):
        return ""
    return f"{name}, which cannot be seen; leave it out."


def _may_join(text: str, at: int) -> bool:
    """Return whether what stands before belongs to letters or pictures that are joined."""
    before = text[:at]
    if before and unicodedata.combining(before[-1]) == _VIRAMA:
        return True
    letter = next((each for each in reversed(before) if unicodedata.category(each) != _MARK), "")
    if not letter:
        return False
    is_picture = unicodedata.category(letter) in _PICTURES
    return is_picture or unicodedata.bidirectional(letter) in _JOINED
