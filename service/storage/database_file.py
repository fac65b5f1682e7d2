"""The SQLite file of a store, for commands that copy and check it."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.engine import make_url

from service.settings import Settings, SettingsError


def database_file(settings: Settings) -> Path:
    """Return the path of a store's SQLite file.

    Raises:
        SettingsError: when the database is not SQLite's.
    """
    url = make_url(settings.database_url)
    if url.get_backend_name() != "sqlite" or not url.database:
        detail = (
            "QUARTERSEAM_DATABASE is not an SQLite file. For PostgreSQL use pg_dump and copy the "
            "data folder, as openapi/OPERATIONS.md says."
        )
        raise SettingsError((detail,))
    return Path(url.database)


def integrity_errors(engine: Engine, max_errors: int) -> list[str]:
    """Return what SQLite finds wrong with a database."""
    with engine.connect() as connection:
        rows = connection.exec_driver_sql(f"PRAGMA integrity_check({max_errors})").scalars()
        return [row for row in rows if row != "ok"]
