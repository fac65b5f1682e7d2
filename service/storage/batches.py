"""Batches: many kits from one request, each of them a job of its own."""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import Engine, delete, func, insert, select, tuple_, update

from service.storage.clock import NowUs
from service.storage.idempotency_keys import Claim, complete
from service.storage.job_states import ENDED, HAS_KIT, UNFINISHED, J, cancel
from service.storage.orders import Order, QueueLimits, admit, delete_orders
from service.storage.tables import BATCHES, JOBS

B = BATCHES.c
_SECOND = 1_000_000
_DAY = 86_400 * _SECOND
_ROWS_AT_ONCE = 500


@dataclass(frozen=True)
class NewBatch:
    """A batch to be done.

    Args:
        id: its own.
        title: for people.
        source: what its kits are made from, as JSON.
        titles: the title of each of its kits.
        request_id: of the request that asked for it.
        reference: the caller's own; may be empty.
        callback: who is called back at its end, as JSON.
        number: by which a person finds it.
        traceparent: the place of that request in a trace.
    """

    id: str
    title: str
    source: bytes
    titles: Sequence[str]
    request_id: str
    reference: str = ""
    callback: bytes | None = None
    number: str = ""
    traceparent: str = ""


class Purged(NamedTuple):
    """A batch of which jobs were deleted, and whether all of it is gone."""

    id: str
    is_gone: bool


class Batches:
    """The table of batches.

    Args:
        engine: reaches the database.
        redelivery_us: how long a batch without a heartbeat waits before it is delivered again.
    """

    def __init__(self, engine: Engine, redelivery_us: int) -> None:
        self._engine = engine
        self._redelivery_us = redelivery_us

    def add(
        self, batch: NewBatch, *, order: Order, limits: QueueLimits, claim: Claim | None = None
    ) -> None:
        """Keep a batch and a job for each of its kits, all or nothing.

        Raises:
            QueueFullError: when the queue would hold more than the limits allow.
            ClaimLostError: when another request has made this batch in the meantime.
        """
        with self._engine.begin() as connection:
            admit(connection, batch.id, order, limits)
            connection.execute(
                insert(BATCHES).values(
                    id=batch.id,
                    created_us=NowUs(),
                    title=batch.title,
                    total=len(batch.titles),
                    source=batch.source,
                    request_id=batch.request_id,
                    reference=batch.reference,
                    callback=batch.callback,
                    number=batch.number,
                    key_id=order.key_id,
                    lease_us=NowUs() + self._redelivery_us,
                )
            )
            made = connection.execute(select(B.created_us).where(B.id == batch.id)).scalar_one()
            rows = _job_rows(batch, made, order.key_id)
            for start in range(0, len(batch.titles), _ROWS_AT_ONCE):
                count = min(_ROWS_AT_ONCE, len(batch.titles) - start)
                connection.execute(insert(JOBS), [next(rows) for _ in range(count)])
            if claim is not None:
                complete(connection, claim, batch.id)

    def get(self, batch_id: str) -> Any:  # noqa: ANN401 - a row of that table, or None
        """Return a batch's row without its source, or ``None``."""
        with self._engine.connect() as connection:
            return connection.execute(select(*_TOLD).where(B.id == batch_id)).first()

    def source(self, batch_id: str) -> bytes | None:
        """Return what a batch's kits are made from, or ``None``."""
        with self._engine.connect() as connection:
            return connection.execute(select(B.source).where(B.id == batch_id)).scalar()

    def counts(self, batch_ids: Sequence[str]) -> Mapping[str, Mapping[str, int]]:
        """Return how many kits of each batch are in which state."""
        others = {*UNFINISHED, *ENDED} - {"succeeded"}
        query = (
            select(J.batch_id, J.state, func.count().label("many"))
            .where(J.batch_id.in_(batch_ids), J.state.in_(others))
            .group_by(J.batch_id, J.state)
        )
        totals = select(B.id, B.total).where(B.id.in_(batch_ids))
        found: dict[str, dict[str, int]] = {}
        with self._engine.connect() as connection:
            # Most have succeeded: the rest is counted, and taken from all.
            found = {row.id: {"succeeded": row.total} for row in connection.execute(totals)}
            for row in connection.execute(query):
                found[row.batch_id][row.state] = row.many
                found[row.batch_id]["succeeded"] -= row.many
        return found

    def page(
        self,
        count: int,
        *,
        after: tuple[int, str] | None = None,
        reference: str = "",
        number: str = "",
        key_id: str | None = None,
    ) -> Sequence[Any]:
        """Return up to ``count`` batches, newest first, from behind ``after``.

        Of those with a reference and a number, and of those of one key, where these are given.
        """
        query = select(*_TOLD).order_by(B.created_us.desc(), B.id.desc()).limit(count)
        if reference:
            query = query.where(B.reference == reference)
        if number:
            query = query.where(B.number == number)
        if key_id is not None:
            query = query.where(B.key_id == key_id)
        if after is not None:
            when, batch_id = after
            query = query.where(tuple_(B.created_us, B.id) < tuple_(when, batch_id))
        with self._engine.connect() as connection:
            return connection.execute(query).all()

    def ended(self, batch_id: str, state: str, count: int, *, after: int = 0) -> Sequence[Any]:
        """Return kits of a batch that ended in a state, in the order in which they did.

        Those that were made and then deleted are left out.

        Args:
            batch_id: the batch.
            state: ``succeeded`` or ``failed``.
            count: how many at most.
            after: the position, in order of ending, of the last one that is not wanted.
        """
        columns = (J.id, J.number, J.finish, J.kit_id, J.title, J.ended_us, J.problem, J.attempts)
        query = (
            select(*columns)
            .where(J.batch_id == batch_id, J.state == state, J.finish > after)
            .order_by(J.finish)
            .limit(count)
        )
        if state == "succeeded":
            query = query.where(HAS_KIT)
        with self._engine.connect() as connection:
            return connection.execute(query).all()

    def each(self, batch_id: str, state: str, columns: Sequence[Any]) -> Iterator[Any]:
        """Yield columns of every job of a batch in a state, by number; reads a few at a time."""
        last = -1
        while True:
            query = (
                select(J.number, *columns)
                .where(J.batch_id == batch_id, J.state == state, J.number > last)
                .order_by(J.number)
                .limit(_ROWS_AT_ONCE)
            )
            with self._engine.connect() as connection:
                rows = connection.execute(query).all()
            yield from rows
            if len(rows) < _ROWS_AT_ONCE:
                return
            last = rows[-1].number

    def cancel(self, batch_id: str) -> bool:
        """Cancel every job that has not ended; return whether there is such a batch."""
        with self._engine.begin() as connection:
            asked = update(BATCHES).where(B.id == batch_id).values(cancel=True)
            found = connection.execute(asked).rowcount == 1
            cancel(connection, J.batch_id == batch_id, batch_id)
        return found

    def purge(self, days: int, count: int) -> Purged | None:
        """Delete up to ``count`` jobs of a batch that was created long ago and has ended.

        The batch itself goes with its last jobs. Returns ``None`` when there is no such batch.
        """
        alive = select(J.id).where(J.batch_id == B.id, J.state.in_(UNFINISHED)).exists()
        old = (
            select(B.id)
            .where(B.created_us < NowUs() - days * _DAY, ~alive)
            .order_by(B.created_us)
            .limit(1)
        )
        with self._engine.connect() as connection:
            batch_id = connection.execute(old).scalar()
        return None if batch_id is None else self.delete_some(batch_id, count)

    def delete_some(self, batch_id: str, count: int) -> Purged:
        """Delete up to ``count`` jobs of a batch that has ended, and the batch with its last."""
        some = select(J.id).where(J.batch_id == batch_id).limit(count)
        with self._engine.begin() as connection:
            gone = connection.execute(delete(JOBS).where(J.id.in_(some))).rowcount < count
            if gone:
                connection.execute(delete(BATCHES).where(B.id == batch_id))
                delete_orders(connection, [batch_id])
        return Purged(batch_id, gone)


_TOLD = tuple(column for column in BATCHES.c if column.name != "source")


def _job_rows(batch: NewBatch, created_us: int, key_id: str) -> Iterator[dict[str, Any]]:
    for number, title in enumerate(batch.titles):
        yield {
            "id": str(uuid.uuid4()),
            "kind": "kit",
            "state": "queued",
            # A microsecond apart, so that lists of kits keep the batch's order.
            "created_us": created_us + number,
            "lease_us": created_us,
            "kit_id": str(uuid.uuid4()),
            "title": title,
            "request_id": batch.request_id,
            "traceparent": batch.traceparent,
            "batch_id": batch.id,
            "number": number,
            "key_id": key_id,
        }
