"""The sweep: deletes expired rows and files, and sets aside files that the database does not list.

One process sweeps at a time, in steps of bounded time and memory, while others serve. A kit file
that the database does not list is never deleted: the database may be the wrong one.
"""

from __future__ import annotations

import contextlib
import logging
import re
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import islice
from typing import TYPE_CHECKING, TypeVar

import orjson
from sqlalchemy import Engine, select

from service.storage.clock import NowUs
from service.storage.files import Files
from service.storage.found_files import FoundFile
from service.storage.kits import KITS_FOLDER
from service.storage.locks import alone
from service.storage.quota_sweep import ROWS_AT_ONCE, QuotaSweep
from service.storage.results import RESULTS

if TYPE_CHECKING:
    from service.storage.store import Store

T = TypeVar("T")

_LOG = logging.getLogger(__name__)
#: Younger files may belong to a request that is still being answered.
_SETTLED_S = 3600.0
_DAY_S = 86_400.0
_STEP = 500
#: Pause between steps, so that other processes can use the disk and the database.
_PAUSE_S = 0.005
_STATE = "sweep.json"
#: Files that a killed process leaves behind: temporary ones.
_LEFT = re.compile(r"\.(.+\.[0-9a-f]{16}\.draft|(ready|now)-[^/]*|reserve\.[0-9]+)")
_KIT_ID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


@dataclass(frozen=True)
class Report:
    """The outcome of a sweep.

    Args:
        removed: expired kits, jobs and temporary files.
        set_aside: unlisted files that were moved to the lost and found.
        returned: kits that were moved back from there, because the database lists them.
        unlisted: unlisted files that stay where they are.
        refused: whether there were so many of them that the database may be the wrong one.
        beyond_quota: jobs and idempotency keys of those removed that went beyond their quotas.
        jobs_bytes: size of the jobs and batches that are left.
        keys_bytes: size of the idempotency keys that are left.
    """

    removed: int = 0
    set_aside: int = 0
    returned: int = 0
    unlisted: int = 0
    refused: bool = False
    beyond_quota: int = 0
    jobs_bytes: int = 0
    keys_bytes: int = 0

    @property
    def is_idle(self) -> bool:
        """Return whether nothing was done and nothing was found that an operator should see."""
        return replace(self, jobs_bytes=0, keys_bytes=0) == Report()

    def metrics(self) -> dict[str, tuple[str, float]]:
        """Return metrics of what has a quota: name, description and value."""
        return {
            "quarterseam_jobs_bytes": (
                "Size of jobs and batches in the database after the last sweep",
                self.jobs_bytes,
            ),
            "quarterseam_idempotency_keys_bytes": (
                "Size of idempotency keys in the database after the last sweep",
                self.keys_bytes,
            ),
            "quarterseam_deleted_beyond_quota": (
                "Jobs and idempotency keys that the last sweep deleted beyond their quotas",
                self.beyond_quota,
            ),
        }


class Sweep:
    """One sweep of a store.

    Args:
        store: the store.
        now: the time, s since 1970; when ``None`` the database's for rows, the folder's for files.
    """

    def __init__(self, store: Store, now: float | None = None) -> None:
        self._store = store
        self._later_us = 0 if now is None else int((now - database_time(store.engine)) * 1e6)
        self._now = database_time(store.engine) if now is None else now
        self._files_now = store.files.now_s() if now is None else now
        self._removed = 0

    def run(self) -> Report:
        """Sweep; the caller holds the lock."""
        store = self._store
        store.claims.purge(self._later_us)
        self._finish_deletions()
        returned = self._take_back()
        unlisted = self._unlisted()
        refused = len(unlisted) > store.settings.max_unlisted_files
        if refused:
            self._say_refusal(unlisted)
        else:
            self._purge()
            self._remove_results()
        set_aside = 0 if refused else self._set_aside(unlisted)
        self._remove_leftovers()
        quotas = self._keep_quotas(measure_only=refused)
        left = len(unlisted) - set_aside
        report = Report(
            self._removed, set_aside, returned, left, refused, quotas.removed,
            quotas.jobs_bytes, quotas.keys_bytes,
        )  # fmt: skip
        if not report.is_idle:
            _LOG.info("swept", extra=asdict(report))
        return report

    def _finish_deletions(self) -> None:
        """Delete the files of kits whose deletion was interrupted."""
        for kit_id in self._store.kits.deletions(_STEP):
            with contextlib.suppress(OSError):
                self._store.kits.finish_deletion(kit_id)
                self._removed += 1

    def _take_back(self) -> int:
        """Move kits back from the lost and found that the database lists."""
        kits, files, count = self._store.kits, self._store.files, 0
        for step in in_steps(self._store.lost_and_found):
            listed = kits.listed([each.stem for each in step])
            for each in step:
                target = kits.name(each.stem)
                if each.stem in listed and each.suffix == ".zip" and not files.exists(target):
                    files.move(each.name, target)
                    count += 1
        return count

    def _unlisted(self) -> list[FoundFile]:
        """Return the kit files that no row lists and that are old enough."""
        found: list[FoundFile] = []
        for step in in_steps(self._store.files.list(KITS_FOLDER)):
            listed = self._store.kits.listed([each.stem for each in step if is_kit(each)])
            for each in step:
                if is_kit(each) and each.stem in listed:
                    continue
                if self._is_settled(each.modified_s) and not _LEFT.fullmatch(each.last):
                    found.append(each)
        return found

    def _set_aside(self, unlisted: Sequence[FoundFile]) -> int:
        count = 0
        for each in unlisted:
            # Checked again: an import may have listed it by now.
            if is_kit(each) and self._store.kits.listed([each.stem]):
                continue
            with contextlib.suppress(FileNotFoundError):
                place = self._store.files.place(self._store.lost_and_found.add(each.name))
                _LOG.warning("a file that no kit lists was set aside", extra={"file": place})
                count += 1
        return count

    def _say_refusal(self, unlisted: Sequence[FoundFile]) -> None:
        _LOG.error(
            "the sweep refuses to touch kits: too many are not listed. The database may be an "
            "older or another one; see openapi/OPERATIONS.md",
            extra={"unlisted": len(unlisted), "first": self._store.files.place(unlisted[0].name)},
        )

    def _purge(self) -> None:
        """Delete expired kits, jobs and batches."""
        store = self._store
        if days := store.settings.retention_days:
            then_us = int((self._now - days * _DAY_S) * 1e6)
            self._delete_kits(lambda: store.retention.older_than(then_us, _STEP), "age")
        if quota := store.settings.max_kits_mb << 20:
            self._delete_kits(lambda: store.retention.beyond(quota, _STEP), "quota")
        while gone := store.jobs.purge(store.settings.job_days, ROWS_AT_ONCE):
            for job_id in gone:
                store.results.delete(job_id)
            self._removed += len(gone)
            _LOG.info("jobs were deleted", extra={"count": len(gone), "why": "age"})
            time.sleep(_PAUSE_S)
        while batch := store.batches.purge(store.settings.job_days, ROWS_AT_ONCE):
            if batch.is_gone:
                self._removed += 1
                _LOG.info("a batch was deleted", extra={"batch": batch.id, "why": "age"})
            time.sleep(_PAUSE_S)

    def _keep_quotas(self, *, measure_only: bool) -> QuotaSweep:
        """Delete jobs and idempotency keys beyond their quotas."""
        quotas = QuotaSweep(self._store, ROWS_AT_ONCE, lambda: time.sleep(_PAUSE_S))
        quotas.run(measure_only=measure_only)
        self._removed += quotas.removed
        return quotas

    def _delete_kits(self, find: Callable[[], list[str]], why: str) -> None:
        """Delete kits, as many at a time as are found, until none is."""
        while old := find():
            deleted = 0
            for kit_id in old:
                if self._store.make_way(self._store.kits.delete, kit_id):
                    deleted += 1
                    _LOG.info("a kit was deleted", extra={"kit": kit_id, "why": why})
            self._removed += deleted
            if not deleted:
                return
            time.sleep(_PAUSE_S)

    def _remove_results(self) -> None:
        """Delete results of deleted jobs, and the oldest beyond the quota."""
        store = self._store
        for step in in_steps(store.files.list(RESULTS)):
            known = store.jobs.known([each.stem for each in step])
            for each in step:
                if each.stem not in known and self._is_settled(each.modified_s):
                    self._remove(each.name)
        self._removed += store.results.keep_quota()

    def _remove_leftovers(self) -> None:
        """Delete temporary files of killed processes."""
        for folder in (KITS_FOLDER, RESULTS):
            for each in self._store.files.list(folder):
                if _LEFT.fullmatch(each.last) and self._is_settled(each.modified_s):
                    self._remove(each.name)
        # Those of the data folder itself: this machine's own where kits are in an object store.
        for path in self._store.folder.iterdir():
            with contextlib.suppress(FileNotFoundError):
                if _LEFT.fullmatch(path.name) and self._is_settled(path.lstat().st_mtime):
                    path.unlink()
                    self._removed += 1

    def _remove(self, name: str) -> None:
        if self._store.files.delete(name):
            self._removed += 1

    def _is_settled(self, modified_s: float) -> bool:
        return self._files_now - modified_s >= _SETTLED_S


def sweep_alone(store: Store, *, every_s: float = 0.0, now: float | None = None) -> Report | None:
    """Sweep unless another process does, or did recently; return a report."""
    with alone(store.engine, store.folder) as held:
        if not held or (every_s and _age_s(store.files) < every_s):
            return None
        report = Sweep(store, now).run()
        _keep(store.files, report)
        return report


def last_report(files: Files) -> tuple[Report, float] | None:
    """Return the last sweep's report and time, s since 1970; ``None`` when there was none."""
    try:
        return Report(**orjson.loads(files.read(_STATE))), files.modified_s(_STATE)
    except (OSError, TypeError, ValueError):
        return None


def _keep(files: Files, report: Report) -> None:
    # On a full volume the last report stays, and the next sweep starts a little sooner.
    with contextlib.suppress(OSError):
        files.write(_STATE, orjson.dumps(report))


def _age_s(files: Files) -> float:
    last = last_report(files)
    return float("inf") if last is None else abs(files.now_s() - last[1])


def database_time(engine: Engine) -> float:
    """Return the database's time, s since 1970."""
    with engine.connect() as connection:
        return int(connection.execute(select(NowUs())).scalar_one()) / 1e6


def in_steps(found: Iterable[T]) -> Iterator[list[T]]:
    """Yield files a few hundred at a time, with a pause after each step."""
    rest = iter(found)
    while step := list(islice(rest, _STEP)):
        yield step
        time.sleep(_PAUSE_S)


def is_kit(file: FoundFile) -> bool:
    """Return whether a file is named as a kit's zip is."""
    return file.suffix == ".zip" and _KIT_ID.fullmatch(file.stem) is not None
