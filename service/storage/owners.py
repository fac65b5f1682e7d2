"""Which key made what, and passing it on to another key."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from sqlalchemy import Engine, Table, select, update

from service.storage.tables import BATCHES, BLOCKS, CUTTERS, JOBS, KITS, PRICE_LISTS

NOBODY: Final = ""
"""What stands in the place of a key where none made a thing."""
#: What has an id that cannot be guessed.
_BY_ID: Final[Mapping[str, Table]] = MappingProxyType({"kit": KITS, "job": JOBS, "batch": BATCHES})
_ALL = (KITS, JOBS, BATCHES, CUTTERS, PRICE_LISTS, BLOCKS)


class Owners:
    """The column of all tables of what a key can make."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def made(self, key_id: str, kind: str, thing_id: str) -> bool:
        """Return whether a key made a thing.

        Args:
            key_id: the key.
            kind: ``kit``, ``job`` or ``batch``.
            thing_id: the id; there may be no such thing.
        """
        table = _BY_ID[kind]
        query = select(table.c.key_id).where(table.c.id == thing_id)
        with self._engine.connect() as connection:
            return connection.execute(query).scalar() == key_id

    def assign(self, key_id: str, of: str = NOBODY) -> dict[str, int]:
        """Pass all that belongs to one key on to another, in one transaction.

        Args:
            key_id: whose it becomes.
            of: whose it is; ``NOBODY``: what belongs to no key.

        Returns:
            How many rows of each table changed.
        """
        counts: dict[str, int] = {}
        with self._engine.begin() as connection:
            for table in _ALL:
                change = update(table).where(table.c.key_id == of).values(key_id=key_id)
                counts[table.name] = connection.execute(change).rowcount
        return counts
