"""API keys: random, stored as a hash, compared in constant time; they expire and are rotated."""

from __future__ import annotations

import contextlib
import hashlib
import hmac
import secrets
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Connection, Engine, insert, select, update
from sqlalchemy.exc import DBAPIError, IntegrityError

from service.storage.tables import KEYS

SCOPES = ("read", "write", "admin")
"""What a key may do; each includes those before it."""
#: Id of the key made by a server's first start: with a fixed id, several servers that start at once
#: make only one.
FIRST = "first"
_NOBODY = hashlib.sha256(b"").hexdigest()
_SECOND: Final = 1_000_000
_HOUR: Final = 3600 * _SECOND
_DAY: Final = 24 * _HOUR
#: A key's last use is noted to the minute, so that reading writes seldom.
_NOTED_US: Final = 60 * _SECOND


@dataclass(frozen=True)
class Key:
    """A key as it is listed, without its secrets; times are microseconds since 1970."""

    id: str
    name: str
    scope: str
    created_us: int
    revoked_us: int | None
    expires_us: int | None = None
    last_used_us: int | None = None
    old_until_us: int | None = None

    @property
    def state(self) -> str:
        """Return whether it is ``in use``, ``revoked`` or ``expired``."""
        if self.revoked_us is not None:
            return "revoked"
        return "expired" if _is_over(self.expires_us) else "in use"


#: The columns of ``Key``.
_LISTED = (
    KEYS.c.id, KEYS.c.name, KEYS.c.scope, KEYS.c.created_us, KEYS.c.revoked_us, KEYS.c.expires_us,
    KEYS.c.last_used_us, KEYS.c.old_until_us,
)  # fmt: skip


class RevokedKeyError(Exception):
    """A key that is to be stored was revoked."""


class Keys:
    """The table of keys."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def add(self, name: str, scope: str, *, days: int | None = None) -> str:
        """Create a key and return it; it cannot be read again.

        Args:
            name: who or what it is for.
            scope: what it may do.
            days: after which it expires; ``None``: never.
        """
        key_id, secret = secrets.token_hex(6), secrets.token_urlsafe(32)
        self._insert(key_id, name, scope, secret, _after(days))
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
                changed = {"sha256": _hash(secret), "old_sha256": None, "old_until_us": None}
                connection.execute(update(KEYS).where(this & other).values(**changed))

    def _insert(
        self, key_id: str, name: str, scope: str, secret: str, expires_us: int | None = None
    ) -> None:
        values = {
            "id": key_id,
            "name": name,
            "scope": scope,
            "created_us": _now_us(),
            "expires_us": expires_us,
            # A secret of 256 random bits cannot be guessed from its hash; a slow hash, meant for
            # words that people choose, would add nothing.
            "sha256": _hash(secret),
        }
        with self._engine.begin() as connection:
            connection.execute(insert(KEYS).values(**values))

    def rotate(self, key_id: str, *, keep_hours: int = 0, days: int | None = None) -> str | None:
        """Give a key another secret and return it; what the key made stays its own.

        Args:
            key_id: the part of the key before the dot.
            keep_hours: for how long the secret before is accepted, too.
            days: after which the key expires, from now; ``None``: as before.

        Returns:
            The key with its new secret; ``None`` when there is none in use.
        """
        secret = secrets.token_urlsafe(32)
        values: dict[str, Any] = {
            "sha256": _hash(secret),
            "old_sha256": KEYS.c.sha256 if keep_hours else None,
            "old_until_us": _now_us() + keep_hours * _HOUR if keep_hours else None,
        }
        if days is not None:
            values["expires_us"] = _after(days)
        with self._engine.begin() as connection:
            done = connection.execute(update(KEYS).where(_in_use(key_id)).values(**values))
        return f"{key_id}.{secret}" if done.rowcount == 1 else None

    def check(self, stated: str) -> Key | None:
        """Return the row of a key, or ``None`` when it is unknown, revoked or expired."""
        key_id, _, secret = stated.partition(".")
        with self._engine.connect() as connection:
            row = connection.execute(select(KEYS).where(KEYS.c.id == key_id)).first()
        # Unknown ids take the same path, so that timing does not reveal which ids exist.
        kept = _NOBODY if row is None else row.sha256
        kept_before = _NOBODY if row is None or row.old_sha256 is None else row.old_sha256
        given = _hash(secret)
        is_new, is_old = (hmac.compare_digest(each, given) for each in (kept, kept_before))
        if row is None or row.revoked_us is not None or _is_over(row.expires_us):
            return None
        if not is_new and (not is_old or row.old_until_us is None or _is_over(row.old_until_us)):
            return None
        self._note_use(row.id, row.last_used_us)
        return Key(*(getattr(row, column.name) for column in _LISTED))

    def accepted(self, key_id: str) -> tuple[Key | None, list[str]]:
        """Return a key that is in use, and the hashes of the secrets that it accepts.

        For another id ``None``, and the hash of no secret.
        """
        with self._engine.connect() as connection:
            row = connection.execute(select(KEYS).where(KEYS.c.id == key_id)).first()
        if row is None or row.revoked_us is not None or _is_over(row.expires_us):
            return None, [_NOBODY]
        hashes = [str(row.sha256)]
        if row.old_until_us is not None and not _is_over(row.old_until_us):
            hashes.append(str(row.old_sha256))
        return Key(*(getattr(row, column.name) for column in _LISTED)), hashes

    def _note_use(self, key_id: str, last_us: int | None) -> None:
        now = _now_us()
        if last_us is not None and 0 <= now - last_us < _NOTED_US:
            return
        # A full volume or a writer that takes long keeps nobody from reading.
        with (
            contextlib.suppress(DBAPIError),
            self._engine.begin() as connection,
            _without_waiting(connection),
        ):
            connection.execute(update(KEYS).where(KEYS.c.id == key_id).values(last_used_us=now))

    def all(self) -> list[Key]:
        """Return every key, oldest first."""
        with self._engine.connect() as connection:
            rows = connection.execute(select(*_LISTED).order_by(KEYS.c.created_us)).all()
        return [Key(*row) for row in rows]

    def get(self, key_id: str) -> Key | None:
        """Return a key, whatever its state, or ``None``."""
        with self._engine.connect() as connection:
            row = connection.execute(select(*_LISTED).where(KEYS.c.id == key_id)).first()
        return None if row is None else Key(*row)

    def revoke(self, key_id: str) -> bool:
        """Revoke a key; return whether there was one in use."""
        with self._engine.begin() as connection:
            revoked = update(KEYS).where(_in_use(key_id)).values(revoked_us=_now_us())
            return connection.execute(revoked).rowcount == 1


@contextlib.contextmanager
def _without_waiting(connection: Connection) -> Iterator[None]:
    """Have SQLite refuse at once, in the block, what another connection keeps it from writing."""
    if connection.dialect.name != "sqlite":
        connection.exec_driver_sql("SET LOCAL lock_timeout = 100")
        yield
        return
    patience = connection.exec_driver_sql("PRAGMA busy_timeout").scalar_one()
    connection.exec_driver_sql("PRAGMA busy_timeout = 0")
    try:
        yield
    finally:
        connection.exec_driver_sql(f"PRAGMA busy_timeout = {int(patience)}")


def _in_use(key_id: str) -> Any:  # noqa: ANN401 - a condition
    return (KEYS.c.id == key_id) & KEYS.c.revoked_us.is_(None)


def _after(days: int | None) -> int | None:
    return None if days is None else _now_us() + days * _DAY


def _is_over(until_us: int | None) -> bool:
    return until_us is not None and until_us <= _now_us()


def _now_us() -> int:
    return time.time_ns() // 1000


def secret_hash(stated: str) -> str:
    """Return the hash of the secret of a whole key, as it is stored."""
    return _hash(stated.partition(".")[2])


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
