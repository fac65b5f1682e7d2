"""Saved cutters, each with a version that counts up."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import orjson
from sqlalchemy import ColumnElement, Engine, and_, delete, false, select, update
from sqlalchemy.dialects import postgresql, sqlite

from service.storage.tables import CUTTERS


class VersionConflictError(Exception):
    """The saved cutter is not the version that the caller expected."""


@dataclass(frozen=True)
class Expected:
    """What a caller expects to replace or delete.

    Args:
        versions: one of these; ``None``: any that is there.
        none: that there is nothing; ``versions`` does not count then.
    """

    versions: frozenset[int] | None = None
    none: bool = False

    def matches(self, name: str) -> ColumnElement[bool]:
        """Return the condition that a row is as expected."""
        same = CUTTERS.c.name == name
        if self.none:
            return and_(same, false())
        return same if self.versions is None else and_(same, CUTTERS.c.version.in_(self.versions))


@dataclass(frozen=True)
class SavedCutter:
    """A cutter as it was saved."""

    name: str
    version: int
    body: Mapping[str, Any]


class SavedCutters:
    """The table of cutters."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def get(self, name: str) -> SavedCutter | None:
        """Return a saved cutter, or ``None``."""
        with self._engine.connect() as connection:
            row = connection.execute(select(CUTTERS).where(CUTTERS.c.name == name)).first()
        return None if row is None else SavedCutter(row.name, row.version, orjson.loads(row.body))

    def document(self, name: str) -> Mapping[str, Any] | None:
        """Return a saved cutter's JSON with its version, or ``None``."""
        saved = self.get(name)
        return None if saved is None else {**saved.body, "version": saved.version}

    def all(self) -> list[SavedCutter]:
        """Return every saved cutter by name."""
        with self._engine.connect() as connection:
            rows = connection.execute(select(CUTTERS).order_by(CUTTERS.c.name)).all()
        return [SavedCutter(row.name, row.version, orjson.loads(row.body)) for row in rows]

    def put(
        self, name: str, body: Mapping[str, Any], *, expected: Expected | None = None
    ) -> SavedCutter:
        """Save a cutter in one statement; its version becomes one more than the last.

        Args:
            name: its name.
            body: what is saved.
            expected: what may be replaced; ``None``: anything or nothing.

        Raises:
            VersionConflictError: when something else is there.
        """
        values = {
            "name": name,
            "version": 1,
            "updated_us": time.time_ns() // 1000,
            "body": orjson.dumps(body),
        }
        change = {**values, "version": CUTTERS.c.version + 1}
        statement: Any
        if expected is None or expected.none:
            statement = self._insert(CUTTERS).values(**values)
            if expected is None:
                statement = statement.on_conflict_do_update(index_elements=["name"], set_=change)
            else:
                statement = statement.on_conflict_do_nothing(index_elements=["name"])
        else:
            statement = update(CUTTERS).where(expected.matches(name)).values(**change)
        with self._engine.begin() as connection:
            row = connection.execute(statement.returning(CUTTERS.c.version)).first()
        if row is None:
            raise VersionConflictError
        return SavedCutter(name, row.version, body)

    @property
    def _insert(self) -> Any:  # noqa: ANN401 - that of the database's own dialect
        return postgresql.insert if self._engine.dialect.name == "postgresql" else sqlite.insert

    def delete(self, name: str, *, expected: Expected | None = None) -> bool:
        """Delete a cutter in one statement; return whether there was one.

        Raises:
            VersionConflictError: when something else is there than expected.
        """
        which = CUTTERS.c.name == name if expected is None else expected.matches(name)
        with self._engine.begin() as connection:
            gone = connection.execute(delete(CUTTERS).where(which)).rowcount == 1
        # The row is read again only to choose between two errors.
        if not gone and expected is not None and self.get(name) is not None:
            raise VersionConflictError
        return gone
