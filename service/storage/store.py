"""The store: opens the data folder and the database, and gives access to all tables."""

from __future__ import annotations

import logging
import os
from collections.abc import Callable
from typing import ParamSpec, TypeVar

from sqlalchemy import Engine, select
from sqlalchemy.exc import DBAPIError

from adapters import plugins
from service.settings import Settings
from service.storage import sweep
from service.storage.api_keys import Keys
from service.storage.batches import Batches
from service.storage.callbacks import Callbacks
from service.storage.files import files_of
from service.storage.idempotency_keys import HOUR_US, Claims
from service.storage.identity import NAME, Identity
from service.storage.job_figures import job_figures
from service.storage.job_quota import JobQuota
from service.storage.job_totals import JobTotals
from service.storage.jobs import Jobs
from service.storage.kits import KITS_FOLDER, Kits
from service.storage.lost_and_found import LostAndFound
from service.storage.named_documents import NamedDocuments
from service.storage.opening import opened
from service.storage.owners import Owners
from service.storage.permissions import check_access, make_private
from service.storage.results import Results
from service.storage.retention import Retention
from service.storage.room import Room
from service.storage.tables import BLOCKS, CUTTERS, KITS, PRICE_LISTS

P = ParamSpec("P")
T = TypeVar("T")

_LOG = logging.getLogger(__name__)
_PROBE = 65536
#: How long jobs may wait while none runs before the operator is warned.
_MAX_QUEUED_S = 300.0


class Store:
    """Everything that the service stores.

    Args:
        settings: with the data folder, the database and the place of files.
        owner: of what this process holds.
        reads_files: whether folder and database are compared. A process that is about to fork
            others must not ask an object store, see ``service/storage/bucket_files.py``.

    Raises:
        OSError: when the data folder cannot be created or written, or belongs to another store.
        sqlalchemy.exc.SQLAlchemyError: when the database cannot be opened.
    """

    def __init__(self, settings: Settings, *, owner: str = "", reads_files: bool = True) -> None:
        self.settings = settings
        self.folder = settings.data
        plugins.hide(self.folder)
        make_private(self.folder, NAME)
        self.room = Room(self.folder)
        self.engine: Engine = opened(settings, self.room)
        self.files = files_of(settings)
        self.kits = Kits(self.engine, self.files, self.room)
        check_access(self.folder / KITS_FOLDER, os.R_OK | os.W_OK | os.X_OK)
        if reads_files or not settings.files:
            self._check_identity()
        self.lost_and_found = LostAndFound(self.files)
        self.cutters = NamedDocuments(self.engine, CUTTERS)
        self.price_lists = NamedDocuments(self.engine, PRICE_LISTS)
        self.blocks = NamedDocuments(self.engine, BLOCKS)
        self.retention = Retention(self.engine)
        self.keys = Keys(self.engine)
        self.owners = Owners(self.engine)
        self.jobs = Jobs(
            self.engine, settings.job_lease_seconds, redelivery_s=2.0 * settings.job_sweep_seconds
        )
        self.job_totals = JobTotals(self.engine)
        self.callbacks = Callbacks(self.engine, self.jobs.lease_us)
        self.batches = Batches(self.engine, self.jobs.redelivery_us)
        self.job_quota = JobQuota(self.engine, self.batches)
        self.results = Results(self.files, settings.max_results_mb << 20)
        # The longest that a request may wait for its turn, and be computed, and a minute more.
        lease_s = settings.compute_queue_timeout_seconds + settings.compute_seconds + 60
        self.claims = Claims(
            self.engine,
            lease_us=int(lease_s * 1_000_000),
            owner=owner,
            kept_us=settings.idempotency_hours * HOUR_US,
        )
        self.room.take()

    def _check_identity(self) -> None:
        try:
            Identity(self.engine, self.files, self.kits).check()
        except (OSError, DBAPIError) as error:
            # A store without an id on a full volume: its contents can still be read.
            if not self.room.is_cause(error):
                self.engine.dispose()
                raise
            _LOG.error("the volume of the data folder is full", extra={"cause": str(error)[:200]})

    def close(self) -> None:
        """Close all connections; needed before a process forks."""
        self.engine.dispose()

    def check(self) -> None:
        """Check that database and folder can be used.

        Raises:
            OSError: when the folder cannot be written, ENOSPC when its volume is full; or when the
                object store does not answer.
            sqlalchemy.exc.SQLAlchemyError: when the database does not answer.
        """
        with self.engine.connect() as connection:
            connection.execute(select(KITS.c.id).limit(1)).all()
        self.room.check(_PROBE)
        self.files.check()

    def begin(self) -> None:
        """Release what the last server held, when a server starts."""
        if self.engine.dialect.name == "sqlite":
            # One machine only: these claims were held by this server's last process, which has
            # ended.
            try:
                self.claims.release_unfinished()
            except DBAPIError as error:
                if not self.room.is_cause(error):
                    raise

    def sweep(self, *, every_s: float = 0.0, now: float | None = None) -> sweep.Report | None:
        """Sweep unless another process does; return a report.

        Args:
            every_s: minimum seconds since the last sweep.
            now: the time, s since 1970, instead of the current one.
        """
        return sweep.sweep_alone(self, every_s=every_s, now=now)

    def make_way(self, free: Callable[P, T], *args: P.args, **named: P.kwargs) -> T:
        """Run a deletion; on a full volume the reserve is released first."""
        try:
            done = free(*args, **named)
        except (OSError, DBAPIError) as error:
            if not self.room.is_cause(error) or not self.room.give_up():
                raise
            _LOG.warning("the reserve of the data folder was released: its volume is full")
            done = free(*args, **named)
        if not self.room.is_taken:
            self._shrink_journal()
            self.room.take()
        return done

    def _shrink_journal(self) -> None:
        if self.engine.dialect.name == "sqlite":
            with self.engine.connect() as connection:
                connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")

    def warnings(self) -> list[str]:
        """Return warnings for the operator."""
        warnings = []
        free = self.room.free_bytes >> 20
        if free < self.settings.min_free_mb:
            warnings.append(
                f"The volume of the data folder has {free} MiB left, less than "
                f"{self.settings.min_free_mb}: give it more room or delete kits."
            )
        last = sweep.last_report(self.files)
        if last is not None and last[0].refused:
            warnings.append(
                f"{last[0].unlisted} kit files are not listed in the database, which may be an "
                "older or another one. Nothing was touched; see openapi/OPERATIONS.md."
            )
        jobs = job_figures(self.engine)
        if jobs.queued and not jobs.running and jobs.queued_s > _MAX_QUEUED_S:
            warnings.append(
                f"{jobs.queued} jobs wait and none runs; the oldest was created "
                f"{jobs.queued_s / 60:.0f} minutes ago. Is a worker running that reaches the "
                "database and the queue?"
            )
        if count := self.lost_and_found.count():
            warnings.append(
                f"{count} files are in the folder lost-and-found: take kits back with "
                "python -m service import, or remove what you do not need."
            )
        return warnings

    def figures(self) -> dict[str, tuple[str, float]]:
        """Return the store's metrics: name, description and value."""
        last = sweep.last_report(self.files)
        report, at = (sweep.Report(), 0.0) if last is None else last
        return {
            "quarterseam_data_free_bytes": (
                "Free space of the data folder's volume",
                self.room.free_bytes,
            ),
            "quarterseam_lost_and_found_files": (
                "Files that the database did not list, set aside",
                self.lost_and_found.count(),
            ),
            "quarterseam_unlisted_files": (
                "Kit files that the database does not list, at the last sweep",
                report.unlisted,
            ),
            "quarterseam_sweep_refused": (
                "Whether the last sweep refused to touch unlisted files",
                report.refused,
            ),
            **report.metrics(),
            "quarterseam_sweep_timestamp_seconds": ("When the last sweep ended", at),
            **job_figures(self.engine).metrics(),
            **self.callbacks.figures().metrics(),
        }
