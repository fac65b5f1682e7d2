"""Cutters, price lists and blocks, saved by name, each with a version that counts up."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

import orjson
from sqlalchemy import ColumnElement, Engine, Table, and_, delete, false, select, true, update
from sqlalchemy.dialects import postgresql, sqlite

T = TypeVar("T")
#: What a page reads at most, but for its first entry; drawings of blocks may have a mebibyte each.
MAX_PAGE_BYTES = 4 << 20
_ROWS_AT_ONCE = 4


class VersionConflictError(Exception):
    """The saved document does not have the version that the caller expected."""


class NameTakenError(Exception):
    """Another key has saved something under this name."""


@dataclass(frozen=True)
class Expected:
    """What a caller expects to replace or delete.

    Args:
        versions: a document with one of these; ``None`` for any version.
        none: that there is no document; the others are then ignored.
        other_than: none of these.
        may_be_new: that there may be no document yet.
    """

    versions: frozenset[int] | None = None
    none: bool = False
    other_than: frozenset[int] = frozenset()
    may_be_new: bool = False

    def matches(self, table: Table, name: str) -> ColumnElement[bool]:
        """Return the condition that a row of a table is as expected."""
        if self.none:
            return false()
        found = and_(table.c.name == name, table.c.version.not_in(self.other_than))
        return found if self.versions is None else and_(found, table.c.version.in_(self.versions))


@dataclass(frozen=True)
class NamedDocument:
    """A JSON object as it was saved."""

    name: str
    version: int
    body: Mapping[str, Any]


class NamedDocuments:
    """A table of JSON objects by name, each with the key that saved it.

    ``key_id`` limits a method to what that key saved; with ``None`` it sees all.
    """

    def __init__(self, engine: Engine, table: Table) -> None:
        self._engine, self._table = engine, table

    def _of(self, key_id: str | None) -> ColumnElement[bool]:
        return true() if key_id is None else self._table.c.key_id == key_id

    def get(self, name: str, key_id: str | None = None) -> NamedDocument | None:
        """Return what is saved under a name, or ``None``."""
        query = select(self._table).where(self._table.c.name == name, self._of(key_id))
        with self._engine.connect() as connection:
            row = connection.execute(query).first()
        return None if row is None else NamedDocument(row.name, row.version, orjson.loads(row.body))

    def document(self, name: str, key_id: str | None = None) -> Mapping[str, Any] | None:
        """Return the JSON saved under a name with its version, or ``None``."""
        saved = self.get(name, key_id)
        return None if saved is None else {**saved.body, "version": saved.version}

    def all(self, key_id: str | None = None) -> list[NamedDocument]:
        """Return all that are saved, by name."""
        query = select(self._table).where(self._of(key_id)).order_by(self._table.c.name)
        with self._engine.connect() as connection:
            rows = connection.execute(query).all()
        return [NamedDocument(row.name, row.version, orjson.loads(row.body)) for row in rows]

    def page(
        self,
        count: int,
        read: Callable[[NamedDocument], T],
        *,
        after: str = "",
        key_id: str | None = None,
    ) -> tuple[list[T], bool]:
        """Return what ``read`` makes of ``count`` documents, by name, and whether more follow.

        There are fewer where they are large: a page reads few bytes beyond ``MAX_PAGE_BYTES``.

        Args:
            count: how many at most; 0 only finds out whether there are any.
            read: is called with each, so that no more than a few are held at once.
            after: the name behind which the page begins.
            key_id: the key whose documents these are; ``None``: anybody's.
        """
        query = (
            select(self._table)
            .where(self._table.c.name > after, self._of(key_id))
            .order_by(self._table.c.name)
            .limit(count + 1)
            .execution_options(yield_per=_ROWS_AT_ONCE)
        )
        found: list[T] = []
        size = 0
        with self._engine.connect() as connection:
            for row in connection.execute(query):
                if len(found) == count or size >= MAX_PAGE_BYTES:
                    return found, True
                found.append(read(NamedDocument(row.name, row.version, orjson.loads(row.body))))
                size += len(row.body)
        return found, False

    def put(
        self,
        name: str,
        body: Mapping[str, Any],
        *,
        expected: Expected | None = None,
        maker: str = "",
        key_id: str | None = None,
    ) -> NamedDocument:
        """Save a JSON object in one statement; its version becomes one more than the last.

        Args:
            name: its name.
            body: what is saved.
            expected: what may be replaced; ``None``: anything or nothing.
            maker: the key that it belongs to, if it is new.
            key_id: the key whose documents may be replaced; ``None``: anybody's.

        Raises:
            VersionConflictError: when something else is there.
            NameTakenError: when another key's is there.
        """
        values = {
            "name": name,
            "version": 1,
            "updated_us": time.time_ns() // 1000,
            "body": orjson.dumps(body),
        }
        # A change leaves ``key_id`` as it is: a document stays with the key that saved it first.
        change = {**values, "version": self._table.c.version + 1}
        values["key_id"] = maker
        which = [self._of(key_id)]
        if expected is not None:
            which.append(expected.matches(self._table, name))
        inserted = self._insert(self._table).values(**values)
        statement: Any
        if expected is not None and expected.none:
            statement = inserted.on_conflict_do_nothing(index_elements=["name"])
        elif expected is None or expected.may_be_new:
            statement = inserted.on_conflict_do_update(
                index_elements=["name"], set_=change, where=and_(*which)
            )
        else:
            statement = update(self._table).where(*which).values(**change)
        with self._engine.begin() as connection:
            row = connection.execute(statement.returning(self._table.c.version)).first()
        if row is None:
            raise self._conflict(name, key_id)
        return NamedDocument(name, row.version, body)

    def _conflict(self, name: str, key_id: str | None) -> Exception:
        """Return the error of a document that could not be saved."""
        # The row is read again only to choose between two errors.
        taken = self.get(name, key_id) is None and self.get(name) is not None
        return NameTakenError() if taken else VersionConflictError()

    @property
    def _insert(self) -> Any:  # noqa: ANN401 - that of the database's own dialect
        return postgresql.insert if self._engine.dialect.name == "postgresql" else sqlite.insert

    def delete(
        self, name: str, *, expected: Expected | None = None, key_id: str | None = None
    ) -> bool:
        """Delete what is saved under a name in one statement; return whether there was one.

        Raises:
            VersionConflictError: when something else is there than expected.
        """
        which = (
            self._table.c.name == name if expected is None else expected.matches(self._table, name)
        )
        with self._engine.begin() as connection:
            gone = connection.execute(delete(self._table).where(which, self._of(key_id))).rowcount
        # The row is read again only to choose between two errors.
        if not gone and expected is not None and self.get(name, key_id) is not None:
            raise VersionConflictError
        return gone == 1
