"""Changes of a job's state, each in the transaction that stores the reason for it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import (
    ColumnElement,
    Connection,
    and_,
    func,
    select,
    update,
)

from service.storage.announcements import announce_batch, announce_jobs
from service.storage.clock import NowUs
from service.storage.tables import BATCHES, JOBS, KITS

J = JOBS.c
ENDED = ("succeeded", "failed", "cancelled")
UNFINISHED = ("queued", "running")
#: The condition that the kit of a job has not been deleted.
HAS_KIT = select(KITS.c.id).where(KITS.c.id == J.kit_id).exists()


class LeaseLostError(Exception):
    """The job was given to another worker, or was cancelled."""


@dataclass(frozen=True)
class HeldJob:
    """A job that a worker holds; ``attempts`` is the fencing token."""

    id: str
    kind: str
    created_us: int
    attempts: int
    kit_id: str | None
    request: bytes | None
    request_id: str
    batch_id: str | None
    number: int | None
    host: str = ""
    key_id: str = ""
    traceparent: str = ""
    started_us: int = 0

    @property
    def mine(self) -> ColumnElement[bool]:
        """The condition that the job is still ours."""
        return and_(J.id == self.id, J.state == "running", J.attempts == self.attempts)


WORK_COLUMNS = (
    J.id, J.kind, J.created_us, J.attempts, J.kit_id, J.request, J.request_id, J.batch_id, J.number,
    J.host, J.key_id, J.traceparent, J.started_us,
)  # fmt: skip


def start_attempt(
    connection: Connection, which: ColumnElement[bool], lease_us: int
) -> HeldJob | None:
    """Start an attempt of a queued job."""
    change = (
        update(JOBS)
        .where(which, J.state == "queued")
        .values(
            state="running",
            attempts=J.attempts + 1,
            lease_us=NowUs() + lease_us,
            started_us=func.coalesce(J.started_us, NowUs()),
            version=J.version + 1,
        )
        .returning(*WORK_COLUMNS)
    )
    row = connection.execute(change).first()
    return None if row is None else HeldJob(*row)


def end(
    connection: Connection,
    work: HeldJob,
    state: str,
    problem: bytes | None = None,
    *,
    kit_number: str = "",
) -> None:
    """Store how a job ended, in the transaction that stores its result.

    Args:
        connection: in that transaction.
        work: the job.
        state: how it ended.
        problem: why it failed.
        kit_number: of the kit that it made, for its callback.

    Raises:
        LeaseLostError: when it is no longer ours.
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
        raise LeaseLostError
    announce_jobs(connection, J.id == work.id, kit_number)
    if work.batch_id is not None:
        announce_batch(connection, work.batch_id)


def next_finish(connection: Connection, batch_id: str) -> int:
    """Return the position of a job among those of its batch that have ended; locks the batch."""
    change = (
        update(BATCHES)
        .where(BATCHES.c.id == batch_id)
        .values(finished=BATCHES.c.finished + 1)
        .returning(BATCHES.c.finished)
    )
    return int(connection.execute(change).scalar_one())


def hold_batch(connection: Connection, batch_id: str) -> None:
    """Lock a batch until the transaction ends.

    Of two transactions that end its last jobs, the second then sees that all have ended.
    """
    connection.execute(
        update(BATCHES).where(BATCHES.c.id == batch_id).values(total=BATCHES.c.total)
    )


def cancel(connection: Connection, which: ColumnElement[bool], batch_id: str | None) -> None:
    """Cancel jobs: queued ones at once, running ones at their next heartbeat.

    Args:
        connection: in a transaction that holds their batch.
        which: single jobs, or jobs of one batch.
        batch_id: the batch; ``None`` for single jobs.
    """
    connection.execute(
        update(JOBS)
        .where(which, J.state == "queued")
        .values(state="cancelled", cancel=True, ended_us=NowUs(), version=J.version + 1)
    )
    connection.execute(update(JOBS).where(which, J.state == "running").values(cancel=True))
    if batch_id is None:
        announce_jobs(connection, which)
    else:
        announce_batch(connection, batch_id)
