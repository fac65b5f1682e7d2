"""Callbacks that are due: jobs of a kind of their own, which no queue delivers.

They share the table, the leases and the fencing number of jobs. A worker asks for the next one that
is due; after a failed attempt it becomes due again later. One whose worker died is due at once.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from sqlalchemy import Engine, and_, case, func, or_, select, update

from service.storage.announcements import CALLBACK
from service.storage.clock import NowUs
from service.storage.job_states import HeldJob, J, end, start_attempt
from service.storage.tables import IS_CALLBACK, JOBS

#: The longest wait for the next attempt, s; a longer one comes from a wrong clock.
MAX_WAIT_S = 90_000.0
_SECOND = 1_000_000


@dataclass(frozen=True)
class CallbackFigures:
    """Counts of callbacks, and seconds since the oldest that waits was created."""

    waiting: int = 0
    retried: int = 0
    failed: int = 0
    oldest_s: float = 0.0

    def metrics(self) -> Mapping[str, tuple[str, float]]:
        """Return metrics: name, description and value."""
        return {
            "quarterseam_callbacks_waiting": (
                "Callbacks that are not delivered yet, or wait for another attempt",
                self.waiting,
            ),
            "quarterseam_callbacks_retried": (
                "Waiting callbacks of which an attempt failed",
                self.retried,
            ),
            "quarterseam_callbacks_failed": (
                "Callbacks that were given up, as long as their jobs are kept",
                self.failed,
            ),
            "quarterseam_oldest_callback_seconds": (
                "Time since the oldest waiting callback was created",
                self.oldest_s,
            ),
        }


class Callbacks:
    """Callbacks in the table of jobs.

    Args:
        engine: reaches the database.
        lease_us: how long a worker holds one.
    """

    def __init__(self, engine: Engine, lease_us: int) -> None:
        self._engine = engine
        self._lease_us = lease_us

    def claim(self, but: Collection[str] = ()) -> HeldJob | None:
        """Start an attempt of the callback that is due for the longest time, if one is.

        Args:
            but: hosts that are not called now.
        """
        now = NowUs()
        late = or_(J.lease_us <= now, J.lease_us > now + int(MAX_WAIT_S * _SECOND))
        due = select(J.id).where(IS_CALLBACK, J.state == "queued", late).order_by(J.lease_us)
        if but:
            due = due.where(J.host.not_in(sorted(but)))
        with self._engine.connect() as connection:
            found = connection.execute(due.limit(1)).scalar()
        if found is None:
            return None
        with self._engine.begin() as connection:
            # Another worker may have been faster: then the next look finds the next one.
            return start_attempt(connection, J.id == found, self._lease_us)

    def retry_later(self, work: HeldJob, wait_s: float, why: str) -> bool:
        """Make a callback due again after some seconds, unless it was cancelled.

        Returns whether it was still ours.
        """
        change = (
            update(JOBS)
            .where(work.mine)
            .values(
                state=case((J.cancel, "cancelled"), else_="queued"),
                ended_us=case((J.cancel, NowUs()), else_=None),
                request=case((J.cancel, None), else_=J.request),
                lease_us=NowUs() + int(min(wait_s, MAX_WAIT_S) * _SECOND),
                phase=why[:200],
                version=J.version + 1,
            )
        )
        with self._engine.begin() as connection:
            return connection.execute(change).rowcount == 1

    def end(self, work: HeldJob, state: str, problem: bytes | None = None) -> None:
        """Store how a callback ended, and delete what was sent, with its secret.

        Raises:
            LeaseLostError: when it is no longer ours.
        """
        with self._engine.begin() as connection:
            end(connection, work, state, problem)
            connection.execute(update(JOBS).where(J.id == work.id).values(request=None, phase=""))

    def figures(self) -> CallbackFigures:
        """Return the figures of all callbacks; reads an index of them alone."""
        count = (
            select(J.state, func.count())
            .where(IS_CALLBACK, J.state.in_(("queued", "running", "failed")))
            .group_by(J.state)
        )
        waiting = and_(J.kind == CALLBACK, J.state.in_(("queued", "running")))
        late = select(func.min(J.created_us), NowUs()).where(IS_CALLBACK, waiting)
        again = select(func.count()).where(IS_CALLBACK, waiting, J.attempts > 1)
        with self._engine.connect() as connection:
            counts = {row[0]: row[1] for row in connection.execute(count)}
            oldest, now = connection.execute(late).one()
            retried = connection.execute(again).scalar() or 0
        return CallbackFigures(
            waiting=counts.get("queued", 0) + counts.get("running", 0),
            retried=int(retried),
            failed=counts.get("failed", 0),
            oldest_s=0.0 if oldest is None else (now - oldest) / _SECOND,
        )
