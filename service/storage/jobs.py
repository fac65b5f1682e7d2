"""Jobs: what is to be done, who does it, what came of it. The table is the truth of them.

Every time in it is the database's, so that no machine's clock matters. Whoever does a job names
in each write the number of the try that it was given (a fencing number): when the job has been
given to another meanwhile, the write changes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Engine,
    and_,
    case,
    delete,
    func,
    insert,
    or_,
    select,
    update,
)

from service.storage.clock import NowUs
from service.storage.idempotency_keys import Claim, settle
from service.storage.orders import Order, QueueLimits, admit, forget, key_of
from service.storage.tables import BATCHES, JOBS

J = JOBS.c
MOST_TRIES = 3
ENDED = ("succeeded", "failed", "cancelled")
_SECOND = 1_000_000


class FencedError(Exception):
    """The job has been given to another, or was cancelled."""


@dataclass(frozen=True)
class NewJob:
    """A job to be done.

    Args:
        id: its own.
        kind: name of the task.
        title: for people.
        request: what the task takes, as JSON.
        request_id: of the request that asked for it.
        kit_id: the kit that it will make, if one.
    """

    id: str
    kind: str
    title: str
    request: bytes
    request_id: str
    kit_id: str | None


@dataclass(frozen=True)
class Work:
    """A job that was given to somebody to do; ``tries`` is the fencing number."""

    id: str
    kind: str
    created_us: int
    tries: int
    kit_id: str | None
    request: bytes | None
    request_id: str
    batch_id: str | None
    number: int | None

    @property
    def mine(self) -> ColumnElement[bool]:
        """The row, as long as it is still ours."""
        return and_(J.id == self.id, J.state == "running", J.tries == self.tries)


_WORK = (
    J.id, J.kind, J.created_us, J.tries, J.kit_id, J.request, J.request_id, J.batch_id, J.number,
)  # fmt: skip


class Jobs:
    """The table of jobs.

    Args:
        engine: reaches the database.
        lease_s: silence after which whoever does a job is taken for dead.
        patience_s: after which a job that waits is delivered again; longer each time.
    """

    def __init__(self, engine: Engine, lease_s: float, patience_s: float) -> None:
        self._engine = engine
        self._lease_us = int(lease_s * _SECOND)
        self._patience_us = int(patience_s * _SECOND)

    @property
    def engine(self) -> Engine:
        """What reaches the database."""
        return self._engine

    @property
    def patience_us(self) -> int:
        """After how long what waits is delivered again, at first."""
        return self._patience_us

    @property
    def lease_us(self) -> int:
        """How long whoever does a job holds it without a word."""
        return self._lease_us

    def add(
        self, job: NewJob, *, order: Order, limits: QueueLimits, claim: Claim | None = None
    ) -> None:
        """Keep a job; from here on it will be done.

        Args:
            job: what is to be done.
            order: whose it is and what it asks for.
            limits: how much may wait at once.
            claim: of the request's idempotency key, settled in the same transaction.

        Raises:
            TooManyError: when as much waits already.
            ClaimLostError: when another request has made this job meanwhile.
        """
        now = NowUs()
        values = {**vars(job), "state": "queued", "created_us": now}
        with self._engine.begin() as connection:
            admit(connection, job.id, order, limits)
            connection.execute(insert(JOBS).values(**values, lease_us=now + self._patience_us))
            if claim is not None:
                settle(connection, claim, job.id)

    def get(self, job_id: str) -> Any:  # noqa: ANN401 - a row of that table, or None
        """Return a job's row without its request, or ``None``."""
        columns = [column for column in JOBS.c if column.name != "request"]
        with self._engine.connect() as connection:
            return connection.execute(select(*columns).where(J.id == job_id)).first()

    def version(self, job_id: str) -> int | None:
        """Return how often a job has changed, or ``None`` when there is none."""
        with self._engine.connect() as connection:
            return connection.execute(select(J.version).where(J.id == job_id)).scalar()

    def page(self, count: int, *, after: tuple[int, str] | None = None) -> Sequence[Any]:
        """Return up to ``count`` single jobs, newest first, from behind ``after``."""
        columns = [column for column in JOBS.c if column.name != "request"]
        query = (
            select(*columns)
            .where(J.batch_id.is_(None))
            .order_by(J.created_us.desc(), J.id.desc())
            .limit(count)
        )
        if after is not None:
            when, job_id = after
            older = and_(J.created_us == when, J.id < job_id)
            query = query.where(or_(J.created_us < when, older))
        with self._engine.connect() as connection:
            return connection.execute(query).all()

    def claim(self, job_id: str) -> Work | None:
        """Take a job that waits; ``None`` when there is none of that id to take."""
        with self._engine.begin() as connection:
            return take(connection, J.id == job_id, self._lease_us)

    def claim_next(self, batch_id: str, serial: int) -> Work | None:
        """Take the next job of a batch, if its message is the current one."""
        current = and_(BATCHES.c.id == batch_id, BATCHES.c.serial == serial)
        with self._engine.begin() as connection:
            # The batch's row first: it is what makes those who take from one batch queue up.
            held = update(BATCHES).where(current).values(lease_us=NowUs() + self._patience_us)
            if connection.execute(held).rowcount != 1:
                return None
            first = (
                select(J.id)
                .where(J.batch_id == batch_id, J.state == "queued")
                .order_by(J.tries, J.number)
                .limit(1)
            )
            job_id = connection.execute(first).scalar()
            return None if job_id is None else take(connection, J.id == job_id, self._lease_us)

    def beat(self, work: Work, progress: float, stage: str) -> str:
        """Say that a job is still being done.

        Returns:
            ``go on``, ``cancel``, or ``lost`` when it was given to another.
        """
        news = or_(J.progress != progress, J.stage != stage[:200])
        change = (
            update(JOBS)
            .where(work.mine)
            .values(
                lease_us=NowUs() + self._lease_us,
                version=J.version + case((news, 1), else_=0),
                progress=progress,
                stage=stage[:200],
            )
            .returning(J.cancel)
        )
        with self._engine.begin() as connection:
            found = connection.execute(change).first()
        if found is None:
            return "lost"
        return "cancel" if found.cancel else "go on"

    def end(self, work: Work, state: str, problem: bytes | None = None) -> None:
        """Note how a job ended.

        Raises:
            FencedError: when it is no longer ours.
        """
        with self._engine.begin() as connection:
            end(connection, work, state, problem)

    def give_back(self, work: Work) -> bool:
        """Let another do a job, at no cost to it; returns whether it was still ours."""
        return self._requeue(work.mine, spared=J.spared + 1)

    def try_again(self, work: Work) -> bool:
        """Queue a job again whose child was killed; returns ``False`` after enough attempts."""
        return self._requeue(and_(work.mine, J.tries - J.spared < MOST_TRIES))

    def _requeue(self, which: ColumnElement[bool], **changes: Any) -> bool:  # noqa: ANN401 - columns
        change = (
            update(JOBS)
            .where(which)
            .values(
                state="queued", lease_us=NowUs(), version=J.version + 1, progress=0.0, stage="",
                **changes,
            )
            .returning(J.batch_id)
        )  # fmt: skip
        with self._engine.begin() as connection:
            return connection.execute(change).first() is not None

    def key_of(self, job_id: str) -> str | None:
        """Return the key that a job was asked for with; ``None`` when that is not known."""
        with self._engine.connect() as connection:
            return key_of(connection, job_id)

    def cancel(self, job_id: str) -> bool:
        """Have a job stopped; returns whether there is such a job."""
        with self._engine.begin() as connection:
            cancel(connection, J.id == job_id)
            found = connection.execute(select(J.id).where(J.id == job_id)).first()
        return found is not None

    def forget(self, days: int, count: int) -> list[str]:
        """Remove up to ``count`` single jobs that ended long ago; returns their ids."""
        old = and_(
            J.batch_id.is_(None), J.state.in_(ENDED), J.ended_us < NowUs() - days * 86400 * _SECOND
        )
        some = select(J.id).where(old).limit(count)
        with self._engine.begin() as connection:
            gone = delete(JOBS).where(J.id.in_(some)).returning(J.id)
            ids = list(connection.execute(gone).scalars())
            forget(connection, ids)
        return ids

    def known(self, job_ids: Sequence[str]) -> set[str]:
        """Return which of some jobs are remembered; ask for a few hundred at most."""
        query = select(J.id).where(J.id.in_(job_ids))
        with self._engine.connect() as connection:
            return set(connection.execute(query).scalars())


def take(connection: Connection, which: ColumnElement[bool], lease_us: int) -> Work | None:
    """Start a try of a job that waits."""
    change = (
        update(JOBS)
        .where(which, J.state == "queued")
        .values(
            state="running",
            tries=J.tries + 1,
            lease_us=NowUs() + lease_us,
            started_us=func.coalesce(J.started_us, NowUs()),
            version=J.version + 1,
        )
        .returning(*_WORK)
    )
    row = connection.execute(change).first()
    return None if row is None else Work(*row)


def end(connection: Connection, work: Work, state: str, problem: bytes | None = None) -> None:
    """Note how a job ended, in a transaction with whatever it made.

    Raises:
        FencedError: when it is no longer ours.
    """
    finish = None
    if work.batch_id is not None:
        finish = next_finish(connection, work.batch_id)
    change = (
        update(JOBS)
        .where(work.mine)
        .values(
            state=state,
            problem=problem,
            ended_us=NowUs(),
            finish=finish,
            version=J.version + 1,
            **({"progress": 1.0} if state == "succeeded" else {}),
        )
    )
    if connection.execute(change).rowcount != 1:
        raise FencedError


def next_finish(connection: Connection, batch_id: str) -> int:
    """Return the how-manieth of its batch ends now; others wait until this is written."""
    change = (
        update(BATCHES)
        .where(BATCHES.c.id == batch_id)
        .values(finished=BATCHES.c.finished + 1)
        .returning(BATCHES.c.finished)
    )
    return int(connection.execute(change).scalar_one())


def cancel(connection: Connection, which: ColumnElement[bool]) -> None:
    """Cancel jobs: those that wait at once, those being done within a moment."""
    connection.execute(
        update(JOBS)
        .where(which, J.state == "queued")
        .values(state="cancelled", cancel=True, ended_us=NowUs(), version=J.version + 1)
    )
    connection.execute(update(JOBS).where(which, J.state == "running").values(cancel=True))
