"""Jobs: requests, workers' leases and outcomes. This table is authoritative.

All times are the database's, so that no machine's clock matters. Every write of a worker names the
number of its attempt (a fencing token): once the job has been given to another worker, the write
changes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Engine,
    and_,
    case,
    delete,
    insert,
    or_,
    select,
    tuple_,
    update,
)

from service.storage.announcements import CALLBACK
from service.storage.clock import NowUs
from service.storage.idempotency_keys import Claim, complete
from service.storage.job_states import (
    ENDED,
    HAS_KIT,
    HeldJob,
    J,
    cancel,
    end,
    hold_batch,
    start_attempt,
)
from service.storage.orders import Order, QueueLimits, admit, delete_orders
from service.storage.tables import BATCHES, JOBS

MAX_ATTEMPTS = 3
#: What answers state: all but the request, and whether the kit is still there.
_SHOWN = (
    *(column for column in JOBS.c if column.name != "request"),
    HAS_KIT.label("has_kit"),
)
_SECOND = 1_000_000


@dataclass(frozen=True)
class NewJob:
    """A job to be done.

    Args:
        id: its own.
        kind: name of the task: ``kit`` or ``layout``.
        title: for people.
        request: what the task takes, as JSON.
        request_id: id of the request that created it.
        kit_id: the kit that it will create, if any.
        callback: who is called back at its end, as JSON.
        traceparent: the place of that request in a trace.
    """

    id: str
    kind: str
    title: str
    request: bytes
    request_id: str
    kit_id: str | None
    callback: bytes | None = None
    traceparent: str = ""


class Jobs:
    """The table of jobs.

    Args:
        engine: reaches the database.
        lease_s: seconds without a heartbeat before a worker is considered dead.
        redelivery_s: how long a queued job waits before it is delivered again; longer each time.
    """

    def __init__(self, engine: Engine, lease_s: float, redelivery_s: float) -> None:
        self._engine = engine
        self._lease_us = int(lease_s * _SECOND)
        self._redelivery_us = int(redelivery_s * _SECOND)

    @property
    def engine(self) -> Engine:
        """Return the database's engine."""
        return self._engine

    @property
    def redelivery_us(self) -> int:
        """Return how long a queued job waits before it is delivered again the first time."""
        return self._redelivery_us

    @property
    def lease_us(self) -> int:
        """Return how long a worker holds a job without a heartbeat."""
        return self._lease_us

    def add(
        self, job: NewJob, *, order: Order, limits: QueueLimits, claim: Claim | None = None
    ) -> None:
        """Add a job to the queue.

        Args:
            job: the job.
            order: the key that pays for it, and its effort.
            limits: how much may be queued at once.
            claim: the claim on the request's idempotency key, completed in the same transaction.

        Raises:
            QueueFullError: when the queue is full.
            ClaimLostError: when another request has created this job in the meantime.
        """
        now = NowUs()
        values = {**vars(job), "key_id": order.key_id, "state": "queued", "created_us": now}
        with self._engine.begin() as connection:
            admit(connection, job.id, order, limits)
            connection.execute(insert(JOBS).values(**values, lease_us=now + self._redelivery_us))
            if claim is not None:
                complete(connection, claim, job.id)

    def get(self, job_id: str) -> Any:  # noqa: ANN401 - a row of that table, or None
        """Return a job's row without its request, or ``None``."""
        with self._engine.connect() as connection:
            return connection.execute(select(*_SHOWN).where(J.id == job_id)).first()

    def version(self, job_id: str) -> int | None:
        """Return a counter of a job's changes, or ``None`` when there is no such job."""
        with self._engine.connect() as connection:
            return connection.execute(select(J.version).where(J.id == job_id)).scalar()

    def page(
        self, count: int, *, after: tuple[int, str] | None = None, key_id: str | None = None
    ) -> Sequence[Any]:
        """Return up to ``count`` single jobs but callbacks, newest first, from behind ``after``.

        Of those of one key, where one is given.
        """
        query = (
            select(*_SHOWN)
            .where(J.batch_id.is_(None), J.kind != CALLBACK)
            .order_by(J.created_us.desc(), J.id.desc())
            .limit(count)
        )
        if after is not None:
            when, job_id = after
            query = query.where(tuple_(J.created_us, J.id) < tuple_(when, job_id))
        if key_id is not None:
            query = query.where(J.key_id == key_id)
        with self._engine.connect() as connection:
            return connection.execute(query).all()

    def claim(self, job_id: str) -> HeldJob | None:
        """Start an attempt of a queued job; return ``None`` when no such job is queued."""
        with self._engine.begin() as connection:
            which = and_(J.id == job_id, J.kind != CALLBACK)
            return start_attempt(connection, which, self._lease_us)

    def claim_next(self, batch_id: str, serial: int) -> HeldJob | None:
        """Start an attempt of the next job of a batch, if its message is the current one."""
        current = and_(BATCHES.c.id == batch_id, BATCHES.c.serial == serial)
        with self._engine.begin() as connection:
            # Locking the batch's row first makes workers on one batch take turns.
            held = update(BATCHES).where(current).values(lease_us=NowUs() + self._redelivery_us)
            if connection.execute(held).rowcount != 1:
                return None
            first = (
                select(J.id)
                .where(J.batch_id == batch_id, J.state == "queued")
                .order_by(J.attempts, J.number)
                .limit(1)
            )
            job_id = connection.execute(first).scalar()
            if job_id is None:
                return None
            return start_attempt(connection, J.id == job_id, self._lease_us)

    def heartbeat(self, work: HeldJob, progress: float, phase: str) -> str:
        """Extend a job's lease and store its progress.

        Returns:
            ``go on``, ``cancel``, or ``lost`` when it was given to another worker.
        """
        news = or_(J.progress != progress, J.phase != phase[:200])
        change = (
            update(JOBS)
            .where(work.mine)
            .values(
                lease_us=NowUs() + self._lease_us,
                version=J.version + case((news, 1), else_=0),
                progress=progress,
                phase=phase[:200],
            )
            .returning(J.cancel)
        )
        with self._engine.begin() as connection:
            found = connection.execute(change).first()
        if found is None:
            return "lost"
        return "cancel" if found.cancel else "go on"

    def end(self, work: HeldJob, state: str, problem: bytes | None = None) -> None:
        """Store how a job ended.

        Raises:
            LeaseLostError: when it is no longer ours.
        """
        with self._engine.begin() as connection:
            end(connection, work, state, problem)

    def release(self, work: HeldJob) -> bool:
        """Requeue a job without using up an attempt; return whether it was still ours."""
        return self._requeue(work.mine, spared=J.spared + 1)

    def try_again(self, work: HeldJob) -> bool:
        """Requeue a job whose process was killed; return whether it had attempts left."""
        return self._requeue(and_(work.mine, J.attempts - J.spared < MAX_ATTEMPTS))

    def _requeue(self, which: ColumnElement[bool], **changes: Any) -> bool:  # noqa: ANN401 - columns
        change = (
            update(JOBS)
            .where(which)
            .values(
                state="queued", lease_us=NowUs(), version=J.version + 1, progress=0.0, phase="",
                **changes,
            )
            .returning(J.batch_id)
        )  # fmt: skip
        with self._engine.begin() as connection:
            return connection.execute(change).first() is not None

    def cancel(self, job_id: str) -> bool:
        """Cancel a job; return whether there is such a job."""
        with self._engine.begin() as connection:
            found = connection.execute(select(J.batch_id).where(J.id == job_id)).first()
            if found is None:
                return False
            if found.batch_id is not None:
                hold_batch(connection, found.batch_id)
            cancel(connection, J.id == job_id, found.batch_id)
        return True

    def purge(self, days: int, count: int) -> list[str]:
        """Delete up to ``count`` single jobs that ended long ago; return their ids."""
        old = and_(
            J.batch_id.is_(None), J.state.in_(ENDED), J.ended_us < NowUs() - days * 86400 * _SECOND
        )
        # In this order the index of ends is used.
        some = select(J.id).where(old).order_by(J.ended_us).limit(count)
        with self._engine.begin() as connection:
            gone = delete(JOBS).where(J.id.in_(some)).returning(J.id)
            ids = list(connection.execute(gone).scalars())
            delete_orders(connection, ids)
        return ids

    def known(self, job_ids: Sequence[str]) -> set[str]:
        """Return which of these jobs exist; pass a few hundred ids at most."""
        query = select(J.id).where(J.id.in_(job_ids))
        with self._engine.connect() as connection:
            return set(connection.execute(query).scalars())
