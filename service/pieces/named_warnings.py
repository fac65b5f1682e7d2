"""Warnings of pieces with the names of the pieces that they concern."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from service.texts import gettext as _

#: Pieces that a warning names; it only counts further ones, so that it stays readable.
_MAX_NAMED = 20


def named_warnings(pieces: Iterable[tuple[str, Sequence[str]]]) -> list[str]:
    """Return the warnings of all pieces, each once, with the names of its pieces.

    Args:
        pieces: the name of each, and its warnings.
    """
    concerned: dict[str, list[str]] = {}
    for name, warnings in pieces:
        for warning in dict.fromkeys(warnings):
            concerned.setdefault(warning, []).append(name)
    return [
        _("{pieces}: {warning}", pieces=_named(names), warning=warning)
        for warning, names in concerned.items()
    ]


def _named(names: Sequence[str]) -> str:
    """Return the names of pieces as the start of a sentence: many of them are only counted."""
    first = [f'"{each}"' for each in names[:_MAX_NAMED]]
    more = len(names) - len(first)
    if len(names) == 1:
        return _("Piece {piece}", piece=first[0])
    if more:
        return _("Pieces {pieces} and {count} more", pieces=", ".join(first), count=more)
    return _("Pieces {pieces} and {last}", pieces=", ".join(first[:-1]), last=first[-1])
