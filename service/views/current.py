"""Access to the running application's settings, store and cutters."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from flask import current_app

from service.requests.builtin_cutters import BUILT_IN
from service.settings import Settings
from service.storage.store import Store


def settings() -> Settings:
    """Return the settings of the running application."""
    return cast("Settings", current_app.config["SETTINGS"])


def store() -> Store:
    """Return the store of the running application; open it at the first call."""
    return cast("Store", current_app.extensions["quarterseam-store"]())


def cutters_of(body: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    """Return the current cutters that a kit's runs name; leave out unknown ones."""
    names = sorted({run["cutter"] for run in body["runs"] if isinstance(run["cutter"], str)})
    found = {name: cutter(name) for name in names}
    return {name: each for name, each in found.items() if each is not None}


def cutter(name: str) -> Mapping[str, Any] | None:
    """Return a built-in or saved cutter's JSON by name, with its version, or ``None``."""
    if name in BUILT_IN:
        return BUILT_IN[name]
    saved = store().cutters.get(name)
    return None if saved is None else {**saved.body, "version": saved.version}
