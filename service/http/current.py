"""Access to the running application's settings, store and cutters."""

from __future__ import annotations

from typing import cast

from flask import current_app

from service.settings import Settings
from service.storage.store import Store


def settings() -> Settings:
    """Return the settings of the running application."""
    return cast("Settings", current_app.config["SETTINGS"])


def store() -> Store:
    """Return the store of the running application; open it at the first call."""
    return cast("Store", current_app.extensions["quarterseam-store"]())
