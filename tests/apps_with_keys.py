"""Services that ask for keys, in this process, and the keys of their callers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from flask import Flask

from service.app import create_app
from service.settings import Settings
from service.storage.store import Store

#: The header that a caller sends.
Key = dict[str, str]
MakeApp = Callable[..., Flask]


@contextmanager
def apps_with_keys(folder: Path) -> Iterator[MakeApp]:
    """Yield what makes services of settings, all on one store; end them at last."""
    made: list[Flask] = []

    def make(**settings: Any) -> Flask:
        usual: dict[str, Any] = {"data": folder / "data", "auth": "on", "compute_seconds": 600}
        made.append(create_app(Settings(**(usual | settings))))
        return made[-1]

    yield make
    for app in made:
        store_of(app).close()


def store_of(app: Flask) -> Store:
    """Return a service's store."""
    return app.extensions["quarterseam-store"]()  # type: ignore[no-any-return]


def new_key(app: Flask, scope: str = "write") -> Key:
    """Return a new key of a scope, named after it."""
    return {"Authorization": f"Bearer {store_of(app).keys.add(scope, scope)}"}


def key_id(key: Key) -> str:
    """Return a key's id, its part before the point."""
    return key["Authorization"].removeprefix("Bearer ").partition(".")[0]
