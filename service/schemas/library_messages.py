"""The schema library's own messages, in words that say what would be right."""

from __future__ import annotations

import re
from typing import Final

#: What takes the place of an object that is none.
NO_OBJECT: Final = "Must be an object, in braces."
_WORDS: Final = {
    "Field may not be null.": "Leave this out, or state a value: null is none.",
    "Invalid input type.": NO_OBJECT,
    "Not a valid boolean.": "Must be true or false, without quotation marks.",
    "Not a valid list.": "Must be a list, in square brackets.",
    "Not a valid string.": "Must be text, in quotation marks.",
}
#: Of bounds of numbers and of the number of characters of texts. Lists state their own.
_PHRASES: Final = (
    (re.compile(r"\bgreater than or equal to (?=-?\d)"), "at least "),
    (re.compile(r"\bgreater than (?=-?\d)"), "more than "),
    (re.compile(r"\bless than or equal to (?=-?\d)"), "at most "),
    (re.compile(r"^Length must be between (\d+) and (\d+)\.$"), r"Must have \1 to \2 characters."),
    (re.compile(r"^Longer than maximum length (\d+)\.$"), r"Must have at most \1 characters."),
    (re.compile(r"^Shorter than minimum length (\d+)\.$"), r"Must have at least \1 characters."),
    (re.compile(r"^Length must be (\d+)\.$"), r"Must have \1 characters."),
)
_ONE_CHARACTER: Final = re.compile(r"(?<=\bMust have )((?:at (?:most|least) )?)1 characters\.")


def in_plain_words(text: str) -> str:
    """Return what a message of the library means; any other text as it is."""
    text = _WORDS.get(text, text)
    for pattern, words in _PHRASES:
        text = pattern.sub(words, text)
    return _ONE_CHARACTER.sub(r"\g<1>1 character.", text)
