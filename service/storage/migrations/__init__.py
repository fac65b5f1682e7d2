"""Migrations, run by Alembic: updates a database of any earlier version; rejects a later one's."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, inspect, select, text

from service.storage.tables import REVISION, VERSION

#: An arbitrary number that all servers share.
_LOCK = 7_271_953
#: The revisions in ``versions/``, oldest first. Importing Alembic takes longer than opening a
#: store, so a database that has the last of them is not asked about any further, and a new one
#: is made by a script.
REVISIONS: Final = ("0001", "0002", "0003", "0004", "0005", "0006", "0007", "0008", "0009")
#: Numbers in ``schema_version``, which databases had before revisions: up to the last one without
#: them, then the one that keeps version 0.1.0 from opening a newer database.
LAST_NUMBER: Final = 6
FENCE: Final = LAST_NUMBER + 1


class LaterVersionError(OSError):
    """The database was made by a later version of the service."""


def migrate(engine: Engine) -> None:
    """Make or update the tables; several processes may do so at once.

    Raises:
        LaterVersionError: when the database is newer than this code; nothing is changed.
        sqlalchemy.exc.SQLAlchemyError: when the database does not answer.
    """
    with engine.connect() as connection:
        # Without a lock this sees what other processes do in between, so nothing is refused yet.
        if _revision(connection) == REVISIONS[-1]:
            return
    from service.storage.migrations import new_database  # noqa: PLC0415 - it is also a command

    with engine.begin() as connection:
        _lock(connection)
        # Another process may have done it by now.
        if new_database.is_new(connection):
            new_database.make(connection)
        elif _current(connection) != REVISIONS[-1]:
            upgrade(connection)


def _revision(connection: Connection) -> str | None:
    """Return the revision that a database states; ``None`` for one that states none."""
    if not inspect(connection).has_table(REVISION.name):
        return None
    found = connection.execute(select(REVISION.c.version_num)).scalar()
    return None if found is None else str(found)


def _current(connection: Connection) -> str | None:
    """Return the database's revision; ``None`` for one that has none yet.

    Raises:
        LaterVersionError: when it is none of ours.
    """
    found = _revision(connection)
    if found is not None:
        if found not in REVISIONS:
            raise _later(found, REVISIONS[-1])
        return found
    tables = inspect(connection)
    if tables.has_table(VERSION.name):
        number = connection.execute(select(VERSION.c.version)).scalar()
        if number is not None and number > LAST_NUMBER:
            raise _later(str(number), str(LAST_NUMBER))
    return None


def upgrade(connection: Connection) -> None:
    """Run the migrations that a database has not had, in the transaction of its connection."""
    from alembic import command  # noqa: PLC0415 - see REVISIONS
    from alembic.config import Config  # noqa: PLC0415 - as above

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def _later(found: str, last: str) -> LaterVersionError:
    return LaterVersionError(
        f"The database has version {found}, this service supports up to {last}: it was made by "
        "a later version of the service. Nothing was changed. Install that version again, or "
        "restore the backup from before the upgrade into another data folder; see "
        "openapi/OPERATIONS.md."
    )


def _lock(connection: Connection) -> None:
    """Lock out other processes until the transaction ends."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
    elif connection.dialect.name == "sqlite":
        # The driver opens transactions lazily; this one must hold the lock from the start.
        connection.exec_driver_sql("BEGIN IMMEDIATE")
