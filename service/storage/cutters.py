"""Saved cutters, each with a version that counts up."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import orjson
from sqlalchemy import Engine, delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from service.storage.tables import CUTTERS


class VersionConflictError(Exception):
    """The saved cutter is not the version that the caller expected."""


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

    def all(self) -> list[SavedCutter]:
        """Return every saved cutter by name."""
        with self._engine.connect() as connection:
            rows = connection.execute(select(CUTTERS).order_by(CUTTERS.c.name)).all()
        return [SavedCutter(row.name, row.version, orjson.loads(row.body)) for row in rows]

    def put(
        self, name: str, body: Mapping[str, Any], *, expected: frozenset[int] | None = None
    ) -> SavedCutter:
        """Save a cutter; its version becomes one more than the last.

        Args:
            name: its name.
            body: what is saved.
            expected: the versions that may be replaced (0: there is none yet); ``None``: any.

        Raises:
            VersionConflictError: when another version is there.
        """
        data = orjson.dumps(body)
        while True:
            found = self.get(name)
            version = found.version if found else 0
            if expected is not None and version not in expected:
                raise VersionConflictError
            if self._write(name, version, data):
                return SavedCutter(name, version + 1, body)
            # Another request was faster; look again at what is there now.

    def _write(self, name: str, version: int, data: bytes) -> bool:
        values = {
            "name": name,
            "version": version + 1,
            "updated_us": time.time_ns() // 1000,
            "body": data,
        }
        if version == 0:
            try:
                with self._engine.begin() as connection:
                    connection.execute(insert(CUTTERS).values(**values))
            except IntegrityError:
                return False
            return True
        same = (CUTTERS.c.name == name) & (CUTTERS.c.version == version)
        with self._engine.begin() as connection:
            return connection.execute(update(CUTTERS).where(same).values(**values)).rowcount == 1

    def delete(self, name: str, *, expected: frozenset[int] | None = None) -> bool:
        """Delete a cutter; returns whether there was one.

        Raises:
            VersionConflictError: when another version is there than expected.
        """
        found = self.get(name)
        if found is None:
            return False
        if expected is not None and found.version not in expected:
            raise VersionConflictError
        with self._engine.begin() as connection:
            gone = connection.execute(delete(CUTTERS).where(CUTTERS.c.name == name))
        return gone.rowcount == 1
