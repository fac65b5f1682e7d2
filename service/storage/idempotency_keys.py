"""Claims on idempotency keys: one request creates the kit, its repeats get the same kit.

All times are the database's, so that servers whose clocks differ agree on which claims are stale.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Engine, delete, func, insert, or_, select, update
from sqlalchemy.exc import IntegrityError

from service.storage.clock import NowUs
from service.storage.tables import CLAIMS

HOUR_US = 3600 * 1_000_000
KEPT_US = 24 * HOUR_US
"""How long repeats of a request get the same answer, where nothing else is set."""
#: As in the table; an owner takes 20 of them.
_TOKEN_LENGTH = 32
ROW_BYTES = 350
"""What a claim takes with its entries in indexes: 331 bytes in SQLite, with random keys."""
#: Deleted in one transaction, so that none takes long.
_ROWS_AT_ONCE = 1000


@dataclass(frozen=True)
class Claim:
    """The right to create the kit of one key.

    Args:
        key: hash of the idempotency key and of the API key that sent it.
        token: distinguishes this claim from a later one on the same key.
    """

    key: str
    token: str


class ReusedError(Exception):
    """The key was used for another request before."""


class ClaimLostError(Exception):
    """Another request has taken over the key."""


class RunningError(Exception):
    """The first request with this key is still being answered.

    Args:
        free_in_s: seconds until the key is free if nobody answers that request any more.
    """

    def __init__(self, free_in_s: int) -> None:
        super().__init__(free_in_s)
        self.free_in_s = free_in_s


class Claims:
    """The table of claims.

    Args:
        engine: reaches the database.
        lease_us: age at which a claim without a kit is considered abandoned by a dead process.
        owner: which process acquires them; empty where nobody watches over it.
        kept_us: how long repeats of a request get the same answer.
    """

    def __init__(
        self, engine: Engine, lease_us: int, owner: str = "", kept_us: int = KEPT_US
    ) -> None:
        self._kept_us = kept_us
        self._engine = engine
        self._lease_us = lease_us
        self._owner = owner

    def acquire(self, key: str, fingerprint: str) -> Claim | str:
        """Acquire a claim, or return the id of the kit that was created with this key.

        Raises:
            ReusedError: when the key was used for another request.
            RunningError: when the first request is still being answered.
        """
        while True:
            claim = Claim(key, (self._owner + secrets.token_hex(16))[:_TOKEN_LENGTH])
            if self._insert(claim, fingerprint):
                return claim
            row = self._row(key)
            if row is None:
                continue
            abandoned = row.kit_id is None and row.age_us > self._lease_us
            if row.age_us > self._kept_us or abandoned:
                if self._take_over(claim, row.token, fingerprint):
                    return claim
                continue
            if row.fingerprint != fingerprint:
                raise ReusedError
            if row.kit_id is None:
                raise RunningError(-(-max(0, self._lease_us - row.age_us) // 1_000_000))
            return str(row.kit_id)

    def _insert(self, claim: Claim, fingerprint: str) -> bool:
        values = {
            "key": claim.key,
            "token": claim.token,
            "fingerprint": fingerprint,
            "claimed_us": NowUs(),
        }
        try:
            with self._engine.begin() as connection:
                connection.execute(insert(CLAIMS).values(**values))
        except IntegrityError:
            return False
        return True

    def _row(self, key: str) -> Any:  # noqa: ANN401 - a row of that table, or None
        age = (NowUs() - CLAIMS.c.claimed_us).label("age_us")
        with self._engine.connect() as connection:
            return connection.execute(select(CLAIMS, age).where(CLAIMS.c.key == key)).first()

    def _take_over(self, claim: Claim, token: str, fingerprint: str) -> bool:
        same = (CLAIMS.c.key == claim.key) & (CLAIMS.c.token == token)
        values = {
            "token": claim.token,
            "fingerprint": fingerprint,
            "claimed_us": NowUs(),
            "kit_id": None,
        }
        with self._engine.begin() as connection:
            return connection.execute(update(CLAIMS).where(same).values(**values)).rowcount == 1

    def release(self, claim: Claim) -> None:
        """Delete the claim of a request that failed; errors are not stored."""
        mine = (CLAIMS.c.key == claim.key) & (CLAIMS.c.token == claim.token)
        with self._engine.begin() as connection:
            connection.execute(delete(CLAIMS).where(mine & CLAIMS.c.kit_id.is_(None)))

    def release_unfinished(self) -> None:
        """Delete all claims whose request did not finish."""
        with self._engine.begin() as connection:
            connection.execute(delete(CLAIMS).where(CLAIMS.c.kit_id.is_(None)))

    def release_of(self, owners: Iterable[str]) -> int:
        """Delete the unfinished claims of processes that have ended; return how many."""
        mine = [CLAIMS.c.token.startswith(owner, autoescape=True) for owner in owners if owner]
        if not mine:
            return 0
        with self._engine.begin() as connection:
            left = delete(CLAIMS).where(CLAIMS.c.kit_id.is_(None), or_(*mine))
            return connection.execute(left).rowcount

    def purge(self, later_us: int = 0) -> int:
        """Delete expired claims; return how many.

        Args:
            later_us: how far ahead of the database's time to look, for tests.
        """
        old = CLAIMS.c.claimed_us < NowUs() + later_us - self._kept_us
        some = select(CLAIMS.c.key).where(old).limit(_ROWS_AT_ONCE)
        total, count = 0, _ROWS_AT_ONCE
        while count == _ROWS_AT_ONCE:
            with self._engine.begin() as connection:
                gone = delete(CLAIMS).where(CLAIMS.c.key.in_(some))
                count = connection.execute(gone).rowcount
            total += count
        return total

    def size(self) -> int:
        """Return how many bytes all claims take."""
        with self._engine.connect() as connection:
            count = connection.execute(select(func.count()).select_from(CLAIMS)).scalar_one()
        return int(count) * ROW_BYTES

    def delete_oldest(self, count: int) -> int:
        """Delete up to ``count`` claims whose request was answered, oldest first."""
        some = (
            select(CLAIMS.c.key)
            # The bound lets SQLite read the index of times in its order.
            .where(CLAIMS.c.kit_id.is_not(None), CLAIMS.c.claimed_us > 0)
            .order_by(CLAIMS.c.claimed_us)
            .limit(count)
        )
        with self._engine.begin() as connection:
            return connection.execute(delete(CLAIMS).where(CLAIMS.c.key.in_(some))).rowcount


def complete(connection: Connection, claim: Claim, kit_id: str) -> None:
    """Store the kit's id with its claim, in the transaction that adds the kit.

    Raises:
        ClaimLostError: when the claim no longer holds.
    """
    mine = (CLAIMS.c.key == claim.key) & (CLAIMS.c.token == claim.token)
    if connection.execute(update(CLAIMS).where(mine).values(kit_id=kit_id)).rowcount != 1:
        raise ClaimLostError
