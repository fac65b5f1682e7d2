"""Migrations: updates a database of any earlier version; rejects one of a later version."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from sqlalchemy import Connection, Engine, Table, insert, inspect, select, text, update

from service.storage.tables import (
    BATCHES,
    CLAIMS,
    CUTTERS,
    DELETIONS,
    JOBS,
    KEYS,
    KIT_FILES,
    KITS,
    ORDERS,
    STORE,
    VERSION,
)

#: An arbitrary number that all servers share.
_LOCK = 7_271_953

#: What each version added. A change to a table that exists is a new row here with a statement of
#: its own; rows are never edited once released.
ADDED: Final[Mapping[int, tuple[Table, ...]]] = MappingProxyType(
    {
        1: (KITS, KIT_FILES, CUTTERS),
        2: (KEYS,),
        3: (CLAIMS,),
        4: (JOBS, BATCHES),
        5: (STORE, DELETIONS),
        6: (ORDERS,),
    }
)
LATEST = max(ADDED)


class LaterVersionError(OSError):
    """The database was made by a later version of the service."""


def migrate(engine: Engine) -> None:
    """Make or update the tables; several processes may do so at once.

    Raises:
        LaterVersionError: when the database is newer than this code; nothing is changed.
        sqlalchemy.exc.SQLAlchemyError: when the database does not answer.
    """
    if _current(engine) == LATEST:
        return
    with engine.begin() as connection:
        _lock(connection)
        VERSION.create(connection, checkfirst=True)
        found = connection.execute(select(VERSION.c.version)).scalar()
        # Databases made before versions were written down have the tables of some version.
        version = found if found is not None else _unwritten(connection)
        if version > LATEST:
            raise _later(version)
        for number in range(version + 1, LATEST + 1):
            for table in ADDED[number]:
                table.create(connection, checkfirst=True)
        change = insert(VERSION) if found is None else update(VERSION)
        connection.execute(change.values(version=LATEST))


def _current(engine: Engine) -> int | None:
    if not inspect(engine).has_table(VERSION.name):
        return None
    with engine.connect() as connection:
        version = connection.execute(select(VERSION.c.version)).scalar()
    if version is not None and version > LATEST:
        raise _later(version)
    return version


def _later(version: int) -> LaterVersionError:
    return LaterVersionError(
        f"The database has version {version}, this service supports up to {LATEST}: it was made by "
        "a later version of the service. Install that one, or use another data folder."
    )


def _unwritten(connection: Connection) -> int:
    names = set(inspect(connection).get_table_names())
    version = 0
    while version < LATEST and all(table.name in names for table in ADDED[version + 1]):
        version += 1
    return version


def _lock(connection: Connection) -> None:
    """Lock out other processes until the transaction ends."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
    elif connection.dialect.name == "sqlite":
        # The driver opens transactions lazily; this one must hold the lock from the start.
        connection.exec_driver_sql("BEGIN IMMEDIATE")
