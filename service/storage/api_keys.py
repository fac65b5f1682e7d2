"""API keys: random, stored as a hash, compared in constant time."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from dataclasses import dataclass

from sqlalchemy import Engine, insert, select, update
from sqlalchemy.exc import IntegrityError

from service.storage.tables import KEYS

SCOPES = ("read", "write", "admin")
"""What a key may do; each includes those before it."""
#: Id of the key made by a server's first start: with a fixed id, several servers that start at once
#: make only one.
FIRST = "first"
_NOBODY = hashlib.sha256(b"").hexdigest()


@dataclass(frozen=True)
class Key:
    """A key as it is listed, without its secret."""

    id: str
    name: str
    scope: str
    created_us: int
    revoked_us: int | None


class RevokedKeyError(Exception):
    """A key that is to be stored was revoked."""


class Keys:
    """The table of keys."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def add(self, name: str, scope: str) -> str:
        """Create a key and return it; it cannot be read again."""
        key_id, secret = secrets.token_hex(6), secrets.token_urlsafe(32)
        self._insert(key_id, name, scope, secret)
        return f"{key_id}.{secret}"

    def add_first(self, scope: str) -> str | None:
        """Create the first key and return it; ``None`` when it exists."""
        secret = secrets.token_urlsafe(32)
        try:
            self._insert(FIRST, FIRST, scope, secret)
        except IntegrityError:
            return None
        return f"{FIRST}.{secret}"

    def put(self, key_id: str, secret: str, scope: str) -> None:
        """Store a key that was made elsewhere; its secret replaces an earlier one.

        Raises:
            RevokedKeyError: when it was revoked.
        """
        this, other = KEYS.c.id == key_id, KEYS.c.sha256 != _hash(secret)
        try:
            self._insert(key_id, key_id, scope, secret)
        except IntegrityError:
            with self._engine.begin() as connection:
                revoked = select(KEYS.c.revoked_us).where(this)
                if connection.execute(revoked).scalar() is not None:
                    raise RevokedKeyError from None
                connection.execute(update(KEYS).where(this & other).values(sha256=_hash(secret)))

    def _insert(self, key_id: str, name: str, scope: str, secret: str) -> None:
        values = {
            "id": key_id,
            "name": name,
            "scope": scope,
            "created_us": time.time_ns() // 1000,
            # A secret of 256 random bits cannot be guessed from its hash; a slow hash, meant for
            # words that people choose, would add nothing.
            "sha256": _hash(secret),
        }
        with self._engine.begin() as connection:
            connection.execute(insert(KEYS).values(**values))

    def check(self, stated: str) -> Key | None:
        """Return the row of a key, or ``None`` when it is unknown or revoked."""
        key_id, _, secret = stated.partition(".")
        with self._engine.connect() as connection:
            row = connection.execute(select(KEYS).where(KEYS.c.id == key_id)).first()
        # Unknown ids take the same path, so that timing does not reveal which ids exist.
        kept = _NOBODY if row is None else row.sha256
        same = hmac.compare_digest(kept, _hash(secret))
        if row is None or not same or row.revoked_us is not None:
            return None
        return Key(row.id, row.name, row.scope, row.created_us, row.revoked_us)

    def all(self) -> list[Key]:
        """Return every key, oldest first."""
        columns = (KEYS.c.id, KEYS.c.name, KEYS.c.scope, KEYS.c.created_us, KEYS.c.revoked_us)
        with self._engine.connect() as connection:
            rows = connection.execute(select(*columns).order_by(KEYS.c.created_us)).all()
        return [Key(*row) for row in rows]

    def revoke(self, key_id: str) -> bool:
        """Revoke a key; return whether there was one in use."""
        in_use = (KEYS.c.id == key_id) & KEYS.c.revoked_us.is_(None)
        now = time.time_ns() // 1000
        with self._engine.begin() as connection:
            done = connection.execute(update(KEYS).where(in_use).values(revoked_us=now))
        return done.rowcount == 1


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
