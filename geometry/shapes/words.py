"""The words of the catalogue's shapes: their titles, in the plural too, and their sizes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from geometry.shapes.catalogue import CATALOGUE

#: What an outline of the caller's own is called, and rectangles of strips.
CUSTOM = "custom outline"
_OTHERS = (CUSTOM, "square", "rectangle", "piece")


def plural_of(noun: str) -> str:
    """Return the plural of what a piece is called: ``kites of the hexagon``."""
    head, *rest = re.split(r"(?=,| of )", noun, maxsplit=1)
    return f"{head}s{''.join(rest)}"


def without_angle(title: str) -> str:
    """Return a title without an angle before it: ``diamond``."""
    return re.sub(r"^\d+-degree ", "", title)


def parameter_words(name: str) -> str:
    """Return what a parameter is called beside its value: ``bottom width``."""
    return name.removesuffix("_deg").replace("_", " ")


def hand_words(hand: str) -> str:
    """Return which hand a piece has: ``left-handed``."""
    return f"{hand}-handed"


def nouns() -> Iterator[tuple[str, str]]:
    """Yield what pieces are called, one and several of them."""
    titles = [kind.title for kind in CATALOGUE.values()]
    for title in dict.fromkeys((*titles, *map(without_angle, titles), *_OTHERS)):
        yield title, plural_of(title)


def size_words() -> Iterator[str]:
    """Yield the words in which sizes are stated."""
    for kind in CATALOGUE.values():
        for parameter in kind.parameters:
            if parameter.name == "hand":
                yield from map(hand_words, parameter.choices)
            else:
                yield parameter_words(parameter.name)
    yield "degrees"
