"""Cutters by name: those that come with the service, and those saved in its store."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from flask import current_app

from service.storage.store import Store
from service.tools.built_in import BUILT_IN


def cutter(name: str) -> Mapping[str, Any] | None:
    """Return a built-in or saved cutter's JSON by name, with its version, or ``None``."""
    if name in BUILT_IN:
        return BUILT_IN[name]
    return _store().cutters.document(name)


def all_cutters() -> dict[str, Mapping[str, Any]]:
    """Return every built-in and saved cutter's JSON by name, read at once."""
    saved = {each.name: {**each.body, "version": each.version} for each in _store().cutters.all()}
    return saved | dict(BUILT_IN)


def _store() -> Store:
    return cast("Store", current_app.extensions["quarterseam-store"]())
