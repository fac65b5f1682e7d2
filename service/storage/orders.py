"""Orders: which key created which jobs, and limits on the queue per key and in all."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, delete, func, insert, select

from geometry.sentences import number_of
from service.storage.announcements import CALLBACK
from service.storage.tables import JOBS, ORDERS

J, O = JOBS.c, ORDERS.c  # noqa: E741 - as the other tables are called


class QueueFullError(Exception):
    """The queue is full; the message names the limit."""


@dataclass(frozen=True)
class QueueLimits:
    """Limits on what is queued at once.

    Args:
        jobs: jobs of all keys, including the kits of batches.
        jobs_per_key: jobs of one key.
        effort_s: seconds of search that they request together.
    """

    jobs: int
    jobs_per_key: int
    effort_s: float


@dataclass(frozen=True)
class Order:
    """What one request adds to the queue.

    Args:
        key_id: of the key that it came with; empty without keys.
        jobs: how many.
        effort_s: seconds of search that they request together.
    """

    key_id: str
    jobs: int
    effort_s: float


def admit(connection: Connection, order_id: str, order: Order, limits: QueueLimits) -> None:
    """Note an order, under the id of its job or batch.

    Raises:
        QueueFullError: when more would wait than may.
    """
    rows = connection.execute(
        select(O.key_id, func.count(), func.sum(O.effort_s / O.jobs))
        .select_from(JOBS)
        .outerjoin(ORDERS, O.id == func.coalesce(J.batch_id, J.id))
        .where(J.state == "queued", J.kind != CALLBACK)
        .group_by(O.key_id)
    ).all()
    waiting = sum(count for _, count, _ in rows)
    own = sum(count for key, count, _ in rows if key == order.key_id)
    effort = sum(float(seconds or 0.0) for _, _, seconds in rows)
    for has, more, most, one, many in (
        (waiting, order.jobs, limits.jobs, "job", "jobs"),
        (own, order.jobs, limits.jobs_per_key, "job of one key", "jobs of one key"),
        (effort, order.effort_s, limits.effort_s, "second of search", "seconds of search"),
    ):
        if has + more > most:
            raise QueueFullError(
                f"At most {number_of(most, one, many)} may wait at once, kits of batches counted; "
                f"{has:g} {'waits' if has == 1 else 'wait'} and {more:g} would be added."
            )
    values = {"key_id": order.key_id, "jobs": order.jobs, "effort_s": order.effort_s}
    connection.execute(insert(ORDERS).values(id=order_id, **values))


def delete_orders(connection: Connection, ids: list[str]) -> None:
    """Remove the orders of jobs and batches that are forgotten."""
    if ids:
        connection.execute(delete(ORDERS).where(O.id.in_(ids)))
