"""How wide a text is in a picture, whose letters a browser chooses: the widest usual ones count."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

#: Widths as shares of the letters' height, of a wide sans-serif face (the package's own, not
#: condensed); all else is a figure or a small letter.
_WIDE: Final = dict.fromkeys("MWmw@%", 0.98)
_NARROW: Final = dict.fromkeys("Iijl.,:;'|!()[]-", 0.4)
_CAPITAL, _OTHER = 0.75, 0.62


def width_of(text: str) -> float:
    """Return the width of a text, as a share of its letters' height."""
    return sum(
        _WIDE.get(each) or _NARROW.get(each) or (_CAPITAL if each.isupper() else _OTHER)
        for each in text
    )


def wrapped(text: str, most: int) -> Iterator[str]:
    """Yield a text in lines of at most so many letters, as far as its words allow."""
    line = ""
    for word in text.split():
        if line and len(line) + 1 + len(word) > most:
            yield line
            line = word
        else:
            line = f"{line} {word}".lstrip()
    yield line
