"""Which kits a retention deletes: the oldest, by age or beyond a quota, and none that is pinned."""

from __future__ import annotations

from sqlalchemy import ColumnElement, Engine, delete, func, insert, select

from service.storage.clock import NowUs
from service.storage.tables import IS_ZIP, KIT_FILES, KITS, PINS


class Retention:
    """Pins, and what may be deleted.

    Args:
        engine: reaches the database.
    """

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def older_than(self, created_us: int, count: int) -> list[str]:
        """Return the ids of up to ``count`` kits created before a time, oldest first."""
        query = (
            select(KITS.c.id)
            .where(KITS.c.created_us < created_us, ~_pinned())
            .order_by(KITS.c.created_us)
            .limit(count)
        )
        with self._engine.connect() as connection:
            return list(connection.execute(query).scalars())

    def beyond(self, quota: int, count: int) -> list[str]:
        """Return the ids of up to ``count`` kits, oldest first, beyond a quota of bytes of zips."""
        excess = self._stored_bytes() - quota
        found: list[str] = []
        for kit_id, size in self._oldest(count) if excess > 0 else ():
            if excess <= 0:
                break
            found.append(kit_id)
            excess -= size
        return found

    def _stored_bytes(self) -> int:
        query = select(func.sum(KIT_FILES.c.bytes)).where(IS_ZIP)
        with self._engine.connect() as connection:
            return int(connection.execute(query).scalar() or 0)

    def _oldest(self, count: int) -> list[tuple[str, int]]:
        zips = (KIT_FILES.c.kit_id == KITS.c.id) & (KIT_FILES.c.name == "")
        query = (
            select(KITS.c.id, func.coalesce(KIT_FILES.c.bytes, 0))
            .outerjoin(KIT_FILES, zips)
            .where(~_pinned())
            .order_by(KITS.c.created_us)
            .limit(count)
        )
        with self._engine.connect() as connection:
            return [(kit_id, int(size)) for kit_id, size in connection.execute(query)]

    def pin(self, kit_id: str) -> bool:
        """Pin a kit, so that no retention deletes it; return whether it is listed."""
        with self._engine.begin() as connection:
            kits = select(KITS.c.id).where(KITS.c.id == kit_id)
            if connection.execute(kits).first() is None:
                return False
            connection.execute(delete(PINS).where(PINS.c.kit_id == kit_id))
            connection.execute(insert(PINS).values(kit_id=kit_id, pinned_us=NowUs()))
        return True

    def unpin(self, kit_id: str) -> bool:
        """Unpin a kit; return whether it is listed."""
        with self._engine.begin() as connection:
            connection.execute(delete(PINS).where(PINS.c.kit_id == kit_id))
            kits = select(KITS.c.id).where(KITS.c.id == kit_id)
            return connection.execute(kits).first() is not None


def _pinned() -> ColumnElement[bool]:
    return select(PINS.c.kit_id).where(PINS.c.kit_id == KITS.c.id).exists()
