"""Makes a new SQLite database in one go: importing Alembic takes longer than all the rest.

The script holds what the migrations leave behind, statement by statement; a test compares the two.
After a change to the migrations:

    python -m service.storage.migrations.new_database > service/storage/migrations/new_database.sql
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, create_engine, select, table, text

_SCRIPT: Final = Path(__file__).with_suffix(".sql")
_END: Final = ";\n"
_BLANKS: Final = re.compile(r" +\n")


def is_new(connection: Connection) -> bool:
    """Return whether a database is SQLite's and holds nothing at all."""
    if connection.dialect.name != "sqlite":
        return False
    count = connection.exec_driver_sql("SELECT count(*) FROM sqlite_master").scalar_one()
    return bool(count == 0)


def make(connection: Connection) -> None:
    """Make all tables, as the migrations would, in the transaction of a new database."""
    for statement in _SCRIPT.read_text(encoding="utf-8").split(_END):
        if statement.strip():
            connection.exec_driver_sql(statement)


def statements_of(connection: Connection) -> Iterator[str]:
    """Yield the statements that make a SQLite database with the same tables and rows."""
    query = "SELECT sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY type <> 'table', rowid"
    for statement in connection.exec_driver_sql(query).scalars().all():
        yield _BLANKS.sub("\n", statement)
    names = "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name"
    for name in connection.exec_driver_sql(names).scalars().all():
        for row in connection.execute(select(text("*")).select_from(table(name))):
            values = ", ".join(repr(value) for value in row)
            yield f"INSERT INTO {name} VALUES ({values})"  # noqa: S608 - names of ours


def main() -> None:
    """Print the script."""
    from service.storage.migrations import upgrade  # noqa: PLC0415 - it imports this module

    with create_engine("sqlite://").begin() as connection:
        upgrade(connection)
        sys.stdout.writelines(f"{each}{_END}" for each in statements_of(connection))


if __name__ == "__main__":
    main()
