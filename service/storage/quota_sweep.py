"""The part of the sweep that deletes jobs and idempotency keys beyond their quotas."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import TYPE_CHECKING

from service.storage.idempotency_keys import ROW_BYTES
from service.storage.job_quota import Freed

if TYPE_CHECKING:
    from service.storage.store import Store

ROWS_AT_ONCE = 100
"""Jobs that one transaction deletes: 10 ms of a processor in SQLite where there are a million."""
_LOG = logging.getLogger(__name__)


class QuotaSweep:
    """Measures jobs, batches and keys, and deletes those beyond a quota that ended first, in steps.

    Args:
        store: the store.
        step: rows that one step deletes.
        pause: called between steps, so that others can use the database.
    """

    def __init__(self, store: Store, step: int, pause: Callable[[], None]) -> None:
        self._store = store
        self._step = step
        self._pause = pause
        self.removed = 0
        self.jobs_bytes = 0
        self.keys_bytes = 0

    def run(self, *, measure_only: bool = False) -> None:
        """Measure and delete; ``removed`` then counts what was deleted, the sizes what is left."""
        for size in self._store.job_quota.sizes():
            self.jobs_bytes += size
            self._pause()
        self.keys_bytes = self._store.claims.size()
        if measure_only:
            return
        if quota := self._store.settings.max_jobs_mb << 20:
            self._free_jobs(quota)
        if quota := self._store.settings.max_idempotency_mb << 20:
            self._free_keys(quota)

    def _free_jobs(self, quota: int) -> None:
        while self.jobs_bytes > quota:
            freed = self._store.job_quota.free(self.jobs_bytes - quota, self._step)
            if freed is None:
                # The remaining jobs wait or run.
                return
            self.jobs_bytes -= freed.size
            self._finish(freed)
            self._pause()

    def _finish(self, freed: Freed) -> None:
        """Delete the results of jobs, or the rest of a batch."""
        for job_id in freed.jobs:
            self._store.results.delete(job_id)
        if freed.batch is None:
            self.removed += len(freed.jobs)
            _LOG.info("jobs were deleted", extra={"count": len(freed.jobs), "why": "quota"})
            return
        batch = freed.batch
        while not batch.is_gone:
            self._pause()
            batch = self._store.batches.delete_some(batch.id, self._step)
        self.removed += 1
        _LOG.info("a batch was deleted", extra={"batch": batch.id, "why": "quota"})

    def _free_keys(self, quota: int) -> None:
        count = 0
        while self.keys_bytes > quota:
            excess = -(-(self.keys_bytes - quota) // ROW_BYTES)
            gone = self._store.claims.delete_oldest(min(excess, self._step))
            if not gone:
                # The remaining keys belong to requests that are still being answered.
                break
            count += gone
            self.keys_bytes -= gone * ROW_BYTES
            self._pause()
        if count:
            self.removed += count
            _LOG.info("idempotency keys were deleted", extra={"count": count, "why": "quota"})
