"""Figures of the jobs that have not ended: how many wait and run, and for how long."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Engine, case, func, select

from service.storage.announcements import CALLBACK
from service.storage.clock import NowUs
from service.storage.job_states import UNFINISHED, J


@dataclass(frozen=True)
class JobFigures:
    """Counts of jobs, kits of batches included, and seconds since the oldest was created."""

    queued: int = 0
    queued_s: float = 0.0
    running: int = 0
    running_s: float = 0.0
    retried: int = 0

    def metrics(self) -> Mapping[str, tuple[str, float]]:
        """Return metrics: name, description and value."""
        return {
            "quarterseam_jobs_queued": ("Jobs that wait, kits of batches included", self.queued),
            "quarterseam_jobs_running": ("Jobs that a worker holds", self.running),
            "quarterseam_jobs_retried": (
                "Waiting and running jobs that were started more than once",
                self.retried,
            ),
            "quarterseam_oldest_queued_job_seconds": (
                "Time since the oldest waiting job was created",
                self.queued_s,
            ),
            "quarterseam_oldest_running_job_seconds": (
                "Time since the oldest running job was created",
                self.running_s,
            ),
        }


def job_figures(engine: Engine) -> JobFigures:
    """Return the figures of a store's jobs; reads only those that have not ended."""
    retried = func.sum(case((J.attempts > 1, 1), else_=0))
    query = (
        select(J.state, func.count(), NowUs() - func.min(J.created_us), retried)
        .where(J.state.in_(UNFINISHED), J.kind != CALLBACK)
        .group_by(J.state)
    )
    with engine.connect() as connection:
        rows = {row[0]: row[1:] for row in connection.execute(query)}
    queued, queued_us, waiting_again = rows.get("queued", (0, 0, 0))
    running, running_us, running_again = rows.get("running", (0, 0, 0))
    return JobFigures(
        queued, queued_us / 1e6, running, running_us / 1e6, waiting_again + running_again
    )
