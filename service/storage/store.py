"""The store: opens the data folder and the database, hands out kits and cutters."""

from __future__ import annotations

import contextlib
import logging
import os
import tempfile
from pathlib import Path

from sqlalchemy import Engine, select

from service.settings import Settings
from service.storage.batches import Batches
from service.storage.claims import Claims
from service.storage.clock import NowUs
from service.storage.cutters import SavedCutters
from service.storage.jobs import Jobs
from service.storage.keys import Keys
from service.storage.kits import Kits
from service.storage.migrations import migrate
from service.storage.results import Results
from service.storage.tables import KITS, open_engine

_LOG = logging.getLogger(__name__)
#: Files younger than this may belong to a request that is still being answered.
_SETTLED_S = 3600.0
_PROBE = 65536
_DAY_S = 86400.0


class Store:
    """Everything that is kept.

    Args:
        settings: where it is kept.

    Raises:
        OSError: when the data folder cannot be made or written.
        sqlalchemy.exc.SQLAlchemyError: when the database cannot be opened.
    """

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.folder = settings.data
        self.folder.mkdir(parents=True, exist_ok=True)
        self.engine: Engine = open_engine(settings.database_url)
        migrate(self.engine)
        self.kits = Kits(self.engine, self.folder / "kits")
        self.cutters = SavedCutters(self.engine)
        self.keys = Keys(self.engine)
        self.jobs = Jobs(
            self.engine, settings.job_lease_seconds, patience_s=2.0 * settings.job_sweep_seconds
        )
        self.batches = Batches(self.engine, self.jobs.patience_us)
        self.results = Results(self.folder / "results")
        self.claims = Claims(self.engine, lease_us=(settings.compute_seconds + 60) * 1_000_000)

    def close(self) -> None:
        """Let go of every connection; needed before a process forks."""
        self.engine.dispose()

    def check(self) -> None:
        """Touch database and folder.

        Raises:
            OSError: when the folder cannot be written.
            sqlalchemy.exc.SQLAlchemyError: when the database does not answer.
        """
        with self.engine.connect() as connection:
            connection.execute(select(KITS.c.id).limit(1)).all()
        # As much as a small kit takes, so that a full disk shows too.
        with tempfile.NamedTemporaryFile(dir=self.folder, prefix=".ready-") as probe:
            probe.write(bytes(_PROBE))
            probe.flush()

    def begin(self) -> None:
        """Tidy up once, when a server starts."""
        if self.engine.dialect.name == "sqlite":
            # One machine only: whoever held these claims was this server, and it has died.
            self.claims.release()
        self.sweep()

    def sweep(self, *, now: float | None = None) -> int:
        """Remove what is past its time, and files that an interrupted request left behind.

        A kit's file comes before its row, so a file without a row was never acknowledged.

        Returns:
            How many kits and files were removed.
        """
        files_now = self._file_time() if now is None else now
        database_now = self._database_time()
        now = database_now if now is None else now
        self.claims.forget(int((now - database_now) * 1e6))
        removed = self._expire(now) + self._forget_jobs()
        for path in sorted(self.kits.folder.glob("*/*")):
            # Another process may be writing, naming and removing files meanwhile.
            with contextlib.suppress(FileNotFoundError):
                if files_now - path.stat().st_mtime < _SETTLED_S or self._is_listed(path):
                    continue
                path.unlink()
                removed += 1
        if removed:
            _LOG.info("removed what was past its time", extra={"removed": removed})
        return removed

    def _database_time(self) -> float:
        """Return what time it is to the database, s since 1970."""
        with self.engine.connect() as connection:
            return int(connection.execute(select(NowUs())).scalar_one()) / 1e6

    def _file_time(self) -> float:
        """Return what time it is to the folder, whose files other machines may write."""
        with tempfile.NamedTemporaryFile(dir=self.folder, prefix=".now-") as probe:
            return os.fstat(probe.fileno()).st_mtime

    def _expire(self, now: float) -> int:
        days = self.settings.retention_days
        if not days:
            return 0
        old = self.kits.older_than(int((now - days * _DAY_S) * 1e6))
        return sum(self.kits.delete(kit_id) for kit_id in old)

    def _forget_jobs(self) -> int:
        days = self.settings.job_days
        gone = self.jobs.forget(days)
        for job_id in gone:
            self.results.delete(job_id)
        return len(gone) + self.batches.forget(days)

    def _is_listed(self, path: Path) -> bool:
        if path.suffix != ".zip":
            return False
        with self.engine.connect() as connection:
            found = connection.execute(select(KITS.c.id).where(KITS.c.id == path.stem)).first()
        return found is not None
