"""Sentences for people, in the language that is chosen for them.

They are marked where they are written, by :func:`said`, and looked up there. Without a language
they stay English.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, TypeAlias

#: Returns a text for one thing or several, and a number, in a language; fields not filled in.
Lookup: TypeAlias = Callable[[str, str, int], str]


def _english(one: str, many: str, n: int) -> str:
    return one if n == 1 else many


_LOOKUP: ContextVar[Lookup] = ContextVar("sentences", default=_english)


@contextmanager
def spoken_by(lookup: Lookup) -> Iterator[None]:
    """Let sentences be looked up; a sentence without a number has the same two texts, and 1."""
    before = _LOOKUP.set(lookup)
    try:
        yield
    finally:
        _LOOKUP.reset(before)


def said(message: str, **values: Any) -> str:  # noqa: ANN401 - whatever can be formatted
    """Return a sentence, with values in place of its fields."""
    return _LOOKUP.get()(message, message, 1).format(**values)


def said_of(one: str, many: str, n: int, **values: Any) -> str:  # noqa: ANN401 - as above
    """Return a sentence about a number of things, which is known to it as ``n``."""
    return _LOOKUP.get()(one, many, n).format(n=n, **values)


def number_of(count: float, one: str, many: str = "") -> str:
    """Return a count with its noun in English: ``1 copy``, ``2 copies``, ``10,000 pieces``.

    Args:
        count: how many.
        one: the noun for one.
        many: the noun for none or several; the first with an "s" when left out.
    """
    figures = f"{count:,}" if isinstance(count, int) else f"{count:g}"
    return f"{figures} {one if count == 1 else many or one + 's'}"
