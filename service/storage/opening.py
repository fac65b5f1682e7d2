"""Opening the database: private, brought up to date, and read-only where its volume is full."""

from __future__ import annotations

import logging
import os
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, inspect
from sqlalchemy.exc import DBAPIError

from service.settings import Settings
from service.storage.engines import open_engine
from service.storage.migrations import migrate
from service.storage.permissions import check_access, make_file_private
from service.storage.room import Room
from service.storage.tables import KITS

_LOG = logging.getLogger(__name__)


def opened(settings: Settings, room: Room) -> Engine:
    """Open the database of a store and bring its tables up to date.

    Raises:
        OSError: when the database belongs to another user, or was made by a later version.
        sqlalchemy.exc.SQLAlchemyError: when it does not answer.
    """
    url = settings.database_url
    engine = open_engine(
        url,
        connect_s=settings.database_connect_seconds,
        statement_s=settings.database_statement_seconds,
    )
    path = engine.url.database if engine.dialect.name == "sqlite" else None
    if not path:
        migrate(engine)
        return engine
    file = Path(path)
    try:
        _begin(engine, file)
    except (OSError, DBAPIError) as error:
        engine.dispose()
        if not room.is_cause(error):
            raise
        _LOG.error("the volume of the data folder is full", extra={"cause": str(error)[:200]})
        if room.give_up():
            try:
                _begin(engine, file)
            except (OSError, DBAPIError):
                engine.dispose()
            else:
                return engine
        return _as_it_is(engine, file, error)
    return engine


def _begin(engine: Engine, file: Path) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    make_file_private(file)
    for each in (file.with_name(f"{file.name}{end}") for end in ("-wal", "-shm")):
        check_access(each, os.R_OK | os.W_OK)
    migrate(engine)


def _as_it_is(engine: Engine, file: Path, error: BaseException) -> Engine:
    """Return an engine that serves what is there and writes nothing.

    SQLite needs some disk space even to read a database, unless it is opened as immutable. That is
    safe where nobody can write and the journal is empty.
    """
    if _has_kits(engine):
        return engine
    journal = file.with_name(f"{file.name}-wal")
    if not file.exists() or (journal.exists() and journal.stat().st_size):
        raise error

    def connect() -> Any:  # noqa: ANN401 - the driver's own
        import sqlite3  # noqa: PLC0415 - seldom needed

        uri = f"{file.as_uri()}?mode=ro&immutable=1"
        return sqlite3.connect(uri, uri=True, check_same_thread=False)

    engine = create_engine("sqlite://", creator=connect)
    if not _has_kits(engine):
        raise error
    return engine


def _has_kits(engine: Engine) -> bool:
    try:
        return inspect(engine).has_table(KITS.name)
    except DBAPIError:
        engine.dispose()
        return False
