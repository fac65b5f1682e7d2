"""What the rows of jobs and batches take, and which of them go first beyond a quota."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Engine, Select, Table, delete, func, select

from service.storage.batches import Batches, Purged
from service.storage.job_states import ENDED, UNFINISHED, J
from service.storage.orders import delete_orders
from service.storage.tables import BATCHES, JOBS

B = BATCHES.c
ROW_BYTES = 700
"""What a row takes beside its request, problem and callback: other columns, entries in indexes.

In SQLite 620 bytes, with random ids and its row of orders; more after many changes.
"""
#: Rows that are measured by one statement.
_MEASURED_AT_ONCE = 2000
#: Batches that are compared by their ends, the ones that were created first.
_BATCHES_COMPARED = 500


class Freed(NamedTuple):
    """What one step deleted: jobs, or some jobs of a batch, and how many bytes that were."""

    jobs: list[str]
    batch: Purged | None
    size: int


class JobQuota:
    """The size of jobs and batches, and their deletion in the order in which they ended.

    Those that have not ended count towards the quota, and are never deleted.

    Args:
        engine: reaches the database.
        batches: its batches.
    """

    def __init__(self, engine: Engine, batches: Batches) -> None:
        self._engine = engine
        self._batches = batches

    def sizes(self) -> Iterator[int]:
        """Yield the bytes of all jobs and batches, some rows at a time."""
        yield from self._sizes(JOBS, _job_bytes())
        yield from self._sizes(BATCHES, ROW_BYTES + _length(B.source) + _length(B.callback))

    def _sizes(self, table: Table, size: ColumnElement[int]) -> Iterator[int]:
        last = ""
        while True:
            some = (
                select(table.c.id, size.label("size"))
                .where(table.c.id > last)
                .order_by(table.c.id)
                .limit(_MEASURED_AT_ONCE)
                .subquery()
            )
            query = select(func.count(), func.max(some.c.id), func.sum(some.c.size))
            with self._engine.connect() as connection:
                count, last, found = connection.execute(query).one()
            yield int(found or 0)
            if count < _MEASURED_AT_ONCE:
                return

    def free(self, excess: int, count: int) -> Freed | None:
        """Delete up to ``count`` jobs that ended first, until ``excess`` bytes are free.

        A batch ends with its last kit, and goes whole: call ``Batches.delete_some`` until it is
        gone. Of batches those that were created first are compared. Returns ``None`` when nothing
        is left that has ended.
        """
        batch, jobs = self.first(count)
        if batch is not None and (not jobs or batch.ended_us <= jobs[0].ended_us):
            return Freed([], *self._some_of_batch(batch.id, count))
        chosen: list[str] = []
        size = 0
        for row in jobs:
            if size >= excess or (batch is not None and row.ended_us > batch.ended_us):
                break
            chosen.append(row.id)
            size += int(row.size)
        return Freed(self._delete(chosen), None, size) if chosen else None

    def first(self, count: int) -> tuple[Any, Sequence[Any]]:
        """Return the batch that ended first, if any, and up to ``count`` single jobs that did."""
        with self._engine.connect() as connection:
            batch = connection.execute(_first_batch()).first()
            return batch, connection.execute(_first_jobs(count)).all()

    def _some_of_batch(self, batch_id: str, count: int) -> tuple[Purged, int]:
        query = select(func.sum(_job_bytes())).where(J.batch_id == batch_id)
        source = select(_length(B.source)).where(B.id == batch_id)
        with self._engine.connect() as connection:
            size = int(connection.execute(query).scalar() or 0)
            size += ROW_BYTES + int(connection.execute(source).scalar() or 0)
        return self._batches.delete_some(batch_id, count), size

    def _delete(self, job_ids: list[str]) -> list[str]:
        # They have ended, and stay so: with their state SQLite would read the index of states.
        which = delete(JOBS).where(J.id.in_(job_ids)).returning(J.id)
        with self._engine.begin() as connection:
            gone = list(connection.execute(which).scalars())
            delete_orders(connection, gone)
        return gone


def _length(column: ColumnElement[Any]) -> ColumnElement[int]:
    return func.coalesce(func.length(column), 0)


def _job_bytes() -> ColumnElement[int]:
    return ROW_BYTES + _length(J.request) + _length(J.problem) + _length(J.callback)


def _first_jobs(count: int) -> Select[Any]:
    return (
        select(J.id, J.ended_us, _job_bytes().label("size"))
        .where(J.batch_id.is_(None), J.ended_us.is_not(None), J.state.in_(ENDED))
        .order_by(J.ended_us)
        .limit(count)
    )


def _first_batch() -> Select[Any]:
    alive = select(J.id).where(J.batch_id == B.id, J.state.in_(UNFINISHED)).exists()
    some = (
        select(B.id, B.created_us)
        .where(~alive)
        .order_by(B.created_us)
        .limit(_BATCHES_COMPARED)
        .subquery()
    )
    last = select(func.max(J.ended_us)).where(J.batch_id == some.c.id).scalar_subquery()
    # One whose jobs are gone: a process was killed while it was deleted.
    ended = func.coalesce(last, 0).label("ended_us")
    return select(some.c.id, ended).order_by(ended).limit(1)
