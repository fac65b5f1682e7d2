"""Errors in what a run chooses: its pieces, its formats and their settings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from marshmallow import ValidationError

from adapters import registry
from adapters.contract import setting_faults
from geometry.model.cutter import Cutter
from service.schemas.context import current
from service.schemas.errors import unusable
from service.schemas.suggestions import close_match


def wrong_choices(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield an error for each chosen piece that the request does not have, or a second time."""
    known, seen = current().quantities, set()
    for index, choice in enumerate(data.get("pieces") or ()):
        piece = choice["id"]
        if known and piece not in known:
            yield unusable(_unknown("piece", piece, known), "pieces", index, "id")
        elif piece in seen:
            detail = f'Piece "{piece}" is already chosen above; once will do.'
            yield unusable(detail, "pieces", index, "id")
        seen.add(piece)


def wrong_formats(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield an error for each format that is not installed, or listed a second time."""
    names = data.get("formats") or ()
    for index, name in enumerate(names):
        # No plug-in is tried here: one that hangs is waited for where files are written.
        if not registry.installed(name):
            yield unusable(_unknown("format", name, registry.installed_names()), "formats", index)
        elif name in names[:index]:
            detail = f'Format "{name}" is already in the list; once will do.'
            yield unusable(detail, "formats", index)


def missing_settings(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield an error for each setting that a built-in format needs and the cutter does not say."""
    cutter = data.get("cutter")
    if not isinstance(cutter, Cutter):
        return
    for name in dict.fromkeys(data.get("formats") or ()):
        if name in registry.BUILT_IN:
            given = cutter.formats.get(name, {})
            faults = setting_faults(registry.get(name).settings, given, name)
            missing = [fault.message for fault in faults if fault.setting not in given]
            if missing:
                where = ("cutter", "formats", name)
                yield unusable(" ".join(missing), *where, slug="format-settings")


def _unknown(what: str, name: str, known: Iterable[str]) -> str:
    known = sorted(known)
    hint = close_match(name, known)
    return f'There is no {what} "{name[:80]}".{hint} Known: {", ".join(known[:40])}.'
