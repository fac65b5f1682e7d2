"""Moving a store's rows to another database; the data folder stays as it is."""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import Connection, Engine, Table, func, insert, select

from service.storage.identity import mark_moved
from service.storage.tables import METADATA, STORE, VERSION

_ROWS_AT_ONCE = 100


class NotEmptyError(OSError):
    """The target database already holds rows."""


def move(source: Engine, target: Engine, store_id: str) -> Mapping[str, int]:
    """Copy all rows in one transaction, then mark the source as moved.

    Args:
        source: the old database; nothing is written to it during the copy.
        target: the new database; its tables are up to date and empty.
        store_id: of the store.

    Returns:
        How many rows each table has.

    Raises:
        NotEmptyError: when the target holds rows of another store, or of one that is used.
    """
    tables = [table for table in METADATA.sorted_tables if table not in {STORE, VERSION}]
    with source.connect() as reading:
        if source.dialect.name == "sqlite":
            # A server that still uses it could write rows that are not copied.
            reading.exec_driver_sql("BEGIN IMMEDIATE")
        with target.begin() as writing:
            there = writing.execute(select(STORE.c.id)).scalar()
            if there != store_id:
                _check_empty(writing, tables, there)
                writing.execute(insert(STORE).values(number=1, id=store_id))
                for table in tables:
                    for rows in _rows(reading, table):
                        writing.execute(insert(table), rows)
            # An earlier run may have copied the rows without marking the source; the counts show
            # whether they differ.
            counts = {table.name: _count(writing, table) for table in tables}
        ours = {table.name: _count(reading, table) for table in tables}
        reading.rollback()
    if ours != counts:
        raise NotEmptyError(f"The database holds other rows of this store: {counts}, not {ours}.")
    mark_moved(source, time.time_ns() // 1000)
    return counts


def _check_empty(connection: Connection, tables: list[Table], store_id: str | None) -> None:
    used = [table.name for table in tables if _count(connection, table)]
    if used or store_id is not None:
        raise NotEmptyError(
            "The database to move to is in use already: it holds "
            f"{', '.join(used) or 'the id of another store'}. Give it an empty one."
        )


def _count(connection: Connection, table: Table) -> int:
    return int(connection.execute(select(func.count()).select_from(table)).scalar_one())


def _rows(connection: Connection, table: Table) -> Iterator[list[dict[str, Any]]]:
    found = connection.execution_options(yield_per=_ROWS_AT_ONCE).execute(select(table))
    for part in found.mappings().partitions(_ROWS_AT_ONCE):
        yield [{column.key: row[column] for column in table.c} for row in part]
