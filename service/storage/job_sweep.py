"""The sweep of jobs: finds lost messages and dead workers, and returns what to deliver again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from sqlalchemy import ColumnElement, Connection, and_, case, or_, select, update

from service.storage.announcements import CALLBACK, announce_batch, announce_jobs
from service.storage.clock import NowUs
from service.storage.job_states import J, next_finish
from service.storage.jobs import MAX_ATTEMPTS, Jobs
from service.storage.tables import BATCHES, JOBS

B = BATCHES.c
#: Each delivery of a waiting job gets more time than the last, up to a hundred times as much.
_MAX_DELIVERIES = 9
#: Databases limit the values of one statement.
_PER_STATEMENT = 500


class Delivery(NamedTuple):
    """A message to do a job, or the next job of a batch."""

    kind: str
    id: str
    serial: int = 0


def sweep(
    jobs: Jobs, died: bytes, ended: Callable[[str, str, int], None] = lambda *_: None
) -> list[Delivery]:
    """Requeue jobs whose worker is gone; several processes may sweep at once.

    Args:
        jobs: the table of jobs.
        died: the problem document of a job whose worker died each time.
        ended: is called with kind, state and attempts of each such job.

    Returns:
        What to deliver again.
    """
    _give_up(jobs, died, ended)
    _take_from_the_dead(jobs)
    return [*_waiting_jobs(jobs), *_waiting_batches(jobs)]


def take_back(jobs: Jobs, unsent: Sequence[Delivery]) -> None:
    """Make the next sweep deliver again what could not be sent.

    Otherwise each failed delivery would make a job wait longer, so that a queue that was away for
    minutes would keep jobs waiting for hours.

    Args:
        jobs: the table of jobs.
        unsent: what the last sweep returned and the queue did not take.
    """
    single = sorted(message.id for message in unsent if message.kind == "job")
    batches = {message.id for message in unsent if message.kind == "batch"}
    fewer = case((J.deliveries > 0, J.deliveries - 1), else_=0)
    with jobs.engine.begin() as connection:
        for start in range(0, len(single), _PER_STATEMENT):
            some = single[start : start + _PER_STATEMENT]
            change = (
                update(JOBS)
                .where(J.id.in_(some), J.state == "queued")
                .values(deliveries=fewer, lease_us=NowUs() - 1)
            )
            connection.execute(change)
        _wake(connection, batches)


def _over(lease: ColumnElement[int], longest_us: int) -> ColumnElement[bool]:
    """Return whether a lease is over: expired, or longer than any that we give (a wrong clock)."""
    now = NowUs()
    return or_(lease < now, lease > now + longest_us)


def _abandoned(jobs: Jobs) -> ColumnElement[bool]:
    return and_(J.state == "running", _over(J.lease_us, 2 * jobs.lease_us))


def _tried_enough() -> ColumnElement[bool]:
    # A callback is tried until it is delivered or has waited for days.
    return and_(J.kind != CALLBACK, J.attempts - J.spared >= MAX_ATTEMPTS)


def _give_up(jobs: Jobs, died: bytes, ended: Callable[[str, str, int], None]) -> None:
    """End jobs whose worker died, if they were cancelled or have used all attempts."""
    hopeless = and_(_abandoned(jobs), or_(J.cancel, _tried_enough()))
    with jobs.engine.connect() as connection:
        what = (J.id, J.batch_id, J.kind, J.cancel, J.attempts)
        rows = connection.execute(select(*what).where(hopeless)).all()
    for row in rows:
        with jobs.engine.begin() as connection:
            finish = None if row.batch_id is None else next_finish(connection, row.batch_id)
            change = (
                update(JOBS)
                .where(J.id == row.id, hopeless)
                .values(
                    state=case((J.cancel, "cancelled"), else_="failed"),
                    problem=case((J.cancel, None), else_=died),
                    ended_us=NowUs(),
                    finish=finish,
                    version=J.version + 1,
                )
            )
            if connection.execute(change).rowcount != 1:
                # Another sweep was faster and has numbered this job.
                connection.rollback()
                continue
            announce_jobs(connection, J.id == row.id)
            if row.batch_id is not None:
                announce_batch(connection, row.batch_id)
        ended(row.kind, "cancelled" if row.cancel else "failed", row.attempts)


def _take_from_the_dead(jobs: Jobs) -> None:
    change = (
        update(JOBS)
        .where(_abandoned(jobs))
        .values(state="queued", lease_us=NowUs() - 1, progress=0.0, phase="", version=J.version + 1)
        .returning(J.batch_id)
    )
    with jobs.engine.begin() as connection:
        found = {row.batch_id for row in connection.execute(change)} - {None}
        _wake(connection, found)


def _wake(connection: Connection, batches: set[str]) -> None:
    """Deliver batches at once that have a requeued job."""
    if batches:
        change = update(BATCHES).where(B.id.in_(sorted(batches))).values(lease_us=NowUs() - 1)
        connection.execute(change)


def _waiting_jobs(jobs: Jobs) -> list[Delivery]:
    longest = jobs.redelivery_us * (_MAX_DELIVERIES + 2) ** 2
    more = case((J.deliveries < _MAX_DELIVERIES, J.deliveries + 1), else_=J.deliveries)
    change = (
        update(JOBS)
        .where(
            J.state == "queued",
            J.batch_id.is_(None),
            # No queue delivers callbacks.
            J.kind != CALLBACK,
            _over(J.lease_us, longest),
        )
        .values(
            deliveries=more,
            lease_us=NowUs() + jobs.redelivery_us * (J.deliveries + 1) * (J.deliveries + 1),
        )
        .returning(J.id)
    )
    with jobs.engine.begin() as connection:
        return [Delivery("job", row.id) for row in connection.execute(change)]


def _waiting_batches(jobs: Jobs) -> list[Delivery]:
    waits = select(J.id).where(J.batch_id == B.id, J.state == "queued").exists()
    change = (
        update(BATCHES)
        .where(_over(B.lease_us, 2 * jobs.redelivery_us), waits)
        .values(serial=B.serial + 1, lease_us=NowUs() + jobs.redelivery_us)
        .returning(B.id, B.serial)
    )
    with jobs.engine.begin() as connection:
        return [Delivery("batch", row.id, row.serial) for row in connection.execute(change)]
