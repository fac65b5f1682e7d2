"""Texts for the bench in a request's language: one catalogue in gettext's format.

The English sentences in the source are the keys; ``locale`` holds the template of the catalogue and
the translation of each language but English. Texts are looked up when they are used, so that a
sentence at the top of a module is marked there (``gettext_noop``) and translated where it is shown.
"""

from __future__ import annotations

import gettext as _gettext
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path
from typing import Any, Final

from geometry.sentences import Lookup, spoken_by

DOMAIN: Final = "quarterseam"
LOCALE: Final = Path(__file__).with_name("locale")
LANGUAGES: Final = ("en",)
"""Languages that are shipped; the first is that of the source."""

_CHOSEN: ContextVar[_gettext.NullTranslations | None] = ContextVar("catalogue", default=None)


@cache
def catalogue(language: str, folder: Path = LOCALE) -> _gettext.NullTranslations:
    """Return a language's catalogue; that of the source's language is empty.

    Raises:
        FileNotFoundError: when the folder has none of that language.
    """
    if language == LANGUAGES[0]:
        return _gettext.NullTranslations()
    return _gettext.translation(DOMAIN, folder, [language])


@contextmanager
def speaking(language: str, folder: Path = LOCALE) -> Iterator[None]:
    """Let texts be looked up in a language's catalogue."""
    chosen = catalogue(language, folder)
    before = _CHOSEN.set(chosen)
    try:
        with spoken_by(_lookup(chosen)):
            yield
    finally:
        _CHOSEN.reset(before)


def chosen_catalogue() -> _gettext.NullTranslations | None:
    """Return the catalogue that texts are looked up in; ``None`` for the source's own."""
    return _CHOSEN.get()


def _lookup(chosen: _gettext.NullTranslations) -> Lookup:
    """Return the function by which geometry and adapters look up their sentences.

    A sentence without a number is given twice.
    """

    def found(one: str, many: str, n: int) -> str:
        return _singular(chosen, one) if one == many else chosen.ngettext(one, many, n)

    return found


def _singular(chosen: _gettext.NullTranslations, message: str) -> str:
    """Return a text that may have a plural: older Pythons look for those by their number alone."""
    text = chosen.gettext(message)
    return chosen.ngettext(message, message, 1) if text == message else text


def gettext(message: str, **values: Any) -> str:  # noqa: ANN401 - whatever can be formatted
    """Return a text in the chosen language, with values in place of its fields."""
    chosen = _CHOSEN.get()
    text = message if chosen is None else _singular(chosen, message)
    return text.format(**values) if values else text


def ngettext(one: str, many: str, n: int, **values: Any) -> str:  # noqa: ANN401 - as above
    """Return the text for a number of things; ``{n}`` in it stands for the number."""
    chosen = _CHOSEN.get()
    text = chosen.ngettext(one, many, n) if chosen is not None else (one if n == 1 else many)
    return text.format(n=n, **values)


def forms(one: str, many: str) -> list[str]:
    """Return a text for one thing and for several, with its fields not filled in."""
    chosen = _CHOSEN.get()
    return [one, many] if chosen is None else [chosen.ngettext(one, many, n) for n in (1, 2)]


def gettext_noop(message: str) -> str:
    """Return a text unchanged, marked for the catalogue; it is translated where it is shown."""
    return message
