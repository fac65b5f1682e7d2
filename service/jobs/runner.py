"""Does one job: in a child that can be killed, with a sign of life now and then."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Mapping
from typing import Any

import orjson
from sqlalchemy.exc import DBAPIError

from service.batches.expand import Source
from service.http import logs
from service.http.addresses import new_kit, with_pictures
from service.http.problems import ProblemError, pointing_into
from service.jobs.answers import problem_bytes
from service.kits import Bundle
from service.sandbox import child
from service.sandbox.run import stopped
from service.sandbox.tasks import task_of
from service.settings import Settings
from service.storage.jobs import FencedError, Work, end
from service.storage.store import Store

_LOG = logging.getLogger(__name__)
#: How often a sign of life is given at the most: progress is shown, cancelling heard of.
_WORD_S = 0.5
#: How long a finished job waits for a database that is away.
_PATIENCE_S = 600.0
_DEFECT = ProblemError(
    "internal-error",
    500,
    "The service failed while doing this job; its log has the details under the request id.",
)
_NO_ROOM = ProblemError(
    "unavailable", 503, "There was no room to keep what this job made. Ask again when there is."
)


class Runner:
    """Does jobs.

    Args:
        store: where they are kept, and what they make.
        settings: their limits.
        stopping: set when this process is about to end; jobs are given back then.
    """

    def __init__(self, store: Store, settings: Settings, stopping: threading.Event) -> None:
        self._store = store
        self._settings = settings
        self._stopping = stopping
        self._source: tuple[str, Source] | None = None

    def run(self, work: Work) -> None:
        """Do a job to its end, whatever that is; raises nothing."""
        with logs.about(request_id=work.request_id, job_id=work.id):
            began = time.perf_counter()
            try:
                outcome = self._run(work)
            except FencedError:
                outcome = "lost"
            except Exception:  # noqa: BLE001 - a sweep finds the job again
                _LOG.exception("a job could not be brought to its end")
                outcome = "left"
            taken = round(1000.0 * (time.perf_counter() - began), 1)
            _LOG.info("job", extra={"outcome": outcome, "tries": work.tries, "ms": taken})

    def _run(self, work: Work) -> str:
        watch = _Watch(self._store, work, self._stopping)
        try:
            bundle = self._compute(work, watch)
        except ProblemError as problem:
            return self._fail(work, pointing_into(problem, self._asked(work)["request"]))
        except child.StoppedError as error:
            return self._stopped(work, watch, error)
        except child.TaskError as error:
            _LOG.error("a job failed", extra={"error": str(error)})
            return self._fail(work, _DEFECT)
        try:
            self._patiently(lambda: self._keep(work, bundle))
        except OSError:
            _LOG.exception("what a job made could not be kept")
            return self._fail(work, _NO_ROOM)
        return "succeeded"

    def _stopped(self, work: Work, watch: _Watch, error: child.StoppedError) -> str:
        if error.why == "told":
            return self._told(work, watch.verdict)
        if error.why == "killed" and self._store.jobs.try_again(work):
            _LOG.warning("a job was killed; it is tried again", extra={"detail": error.detail})
            return "killed"
        settings = self._settings
        why = stopped(error, settings.job_seconds, settings.compute_memory_mb)
        _LOG.warning("a job was stopped", extra={"why": error.why, "detail": error.detail})
        return self._fail(work, why)

    def _compute(self, work: Work, watch: _Watch) -> Bundle:
        asked = self._asked(work)
        seconds = self._settings.job_seconds
        made: Bundle = child.run(
            task_of(work.kind, self._settings),
            (float(seconds), asked["request"], asked["cutters"]),
            seconds=seconds,
            memory_bytes=self._settings.compute_memory_mb << 20,
            watch=watch,
        )
        return made

    def _asked(self, work: Work) -> Mapping[str, Any]:
        """Return what a job is to do and with which cutters."""
        if work.batch_id is None or work.number is None:
            return dict(orjson.loads(work.request or b"{}"))
        if self._source is None or self._source[0] != work.batch_id:
            raw = self._store.batches.source(work.batch_id)
            if raw is None:
                raise FencedError
            self._source = (work.batch_id, Source(**orjson.loads(raw)))
        source = self._source[1]
        return {"request": source.request(work.number), "cutters": source.cutters}

    def _keep(self, work: Work, bundle: Bundle) -> None:
        """Keep what a job made, and that it did, in one transaction."""
        if work.kit_id is not None:
            kit = new_kit(bundle, work.kit_id, work.created_us)
            self._store.kits.save(kit, also=lambda c: end(c, work, "succeeded"), again=True)
            return
        answer = with_pictures(bundle.answer, bundle.files)
        with self._store.engine.begin() as connection:
            end(connection, work, "succeeded")
            self._store.results.save(work.id, orjson.dumps(answer))

    def _fail(self, work: Work, problem: ProblemError) -> str:
        told = problem_bytes(problem, work.id, work.request_id)
        self._patiently(lambda: self._store.jobs.end(work, "failed", told))
        return "failed"

    def _told(self, work: Work, verdict: str) -> str:
        if verdict == "cancel":
            self._patiently(lambda: self._store.jobs.end(work, "cancelled"))
            return "cancelled"
        if verdict == "stopping":
            self._store.jobs.give_back(work)
            return "given back"
        return "lost"

    def _patiently(self, write: Callable[[], None]) -> None:
        """Write, again and again while the database is away: the work is done, only not told."""
        until = time.monotonic() + _PATIENCE_S
        wait = 0.1
        while True:
            try:
                write()
            except DBAPIError as error:
                if not error.connection_invalidated and not _is_away(error):
                    raise
                if time.monotonic() > until or self._stopping.wait(wait):
                    raise
                wait = min(5.0, 2.0 * wait)
            else:
                return


def _is_away(error: DBAPIError) -> bool:
    return type(error).__name__ in {"OperationalError", "InterfaceError"}


class _Watch:
    """Asked while a job is done: may it go on? Gives the sign of life meanwhile."""

    def __init__(self, store: Store, work: Work, stopping: threading.Event) -> None:
        self._store, self._work, self._stopping = store, work, stopping
        self._last = time.monotonic()
        self.verdict = "go on"

    def __call__(self, done: float, stage: str) -> bool:
        if self._stopping.is_set():
            self.verdict = "stopping"
        elif time.monotonic() - self._last >= _WORD_S:
            self._last = time.monotonic()
            try:
                self.verdict = self._store.jobs.beat(self._work, done, stage)
            except DBAPIError as error:
                # The work goes on; whether it was given to another shows when it is kept.
                _LOG.warning("no sign of life could be given", extra={"cause": str(error.orig)})
        return self.verdict == "go on"
