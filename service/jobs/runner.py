"""Runs one job in a child process that can be killed, and sends its heartbeats."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Mapping
from typing import Any

import orjson
from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from service.answers.quilts import QuiltPlanAnswer
from service.batches.expand import BatchSource
from service.errors import PlanNotProvedError, ReportedError, pointing_into
from service.http.problems import ProblemError
from service.jobs.answers import problem_bytes
from service.jobs.traced import traced
from service.kits import Bundle
from service.links import with_pictures
from service.sandbox import child
from service.sandbox.run import stopped
from service.sandbox.step_clock import StepTimes
from service.sandbox.stored_tasks import RECUT, job_of
from service.schemas.codec import dump
from service.settings import Settings
from service.storage.found_files import FilesUnreachableError
from service.storage.job_states import ENDED, HeldJob, LeaseLostError, end
from service.storage.new_kits import new_kit
from service.storage.store import Store
from service.tracing import spans

_LOG = logging.getLogger(__name__)
#: Minimum time between heartbeats, which store progress and notice cancellation.
_WORD_S = 0.5
#: How long a finished job waits for an unreachable database or object store.
_UNREACHABLE_S = 600.0
#: The longest pause between attempts to write to an object store; a lease is longer.
_FILES_WAIT_S = 2.0
_SECOND = 1_000_000
#: Ends of attempts that a trace shows as errors; what a request asks for may fail, too.
_BAD_OUTCOMES = ("left", "killed", "failed")
_DEFECT = ProblemError(
    "internal-error",
    500,
    "The service failed during this job; its log has the details under the request id.",
)
_KIT_GONE = ProblemError(
    "not-found", 404, "The kit was deleted before this recut of it began; recut another kit."
)
_NO_ROOM = ProblemError(
    "unavailable",
    503,
    "There was no room to store the result of this job. Ask again when there is.",
)


class Runner:
    """Runs jobs.

    Args:
        store: holds the jobs and their results.
        settings: their limits.
        stopping: set when this process is about to end; running jobs are then released.
    """

    def __init__(self, store: Store, settings: Settings, stopping: threading.Event) -> None:
        self._store = store
        self._settings = settings
        self._stopping = stopping
        self._source: tuple[str, BatchSource] | None = None

    def run(self, work: HeldJob) -> None:
        """Run a job to its end; raises no errors."""
        with traced(work) as span:
            began, times = time.perf_counter(), StepTimes()
            if work.attempts == 1:
                times.add("waiting", (work.started_us - work.created_us) / _SECOND)
            try:
                outcome = self._run(work, times)
            except LeaseLostError:
                outcome = "lost"
            except Exception:  # noqa: BLE001 - a sweep will requeue the job
                _LOG.exception("a job could not be finished")
                outcome = "left"
            span.state({"quarterseam.job.outcome": outcome})
            if outcome in _BAD_OUTCOMES:
                span.fail(outcome)
            taken = round(1000.0 * (time.perf_counter() - began), 1)
            seconds = {phase: round(each, 3) for phase, each in times.seconds.items()}
            figures = {
                "outcome": outcome,
                "attempts": work.attempts,
                "ms": taken,
                "seconds": seconds,
            }
            _LOG.info("job", extra=figures)
        self._store.job_totals.observe(work.kind, times.seconds)
        if outcome in ENDED:
            self._store.job_totals.count_end(work.kind, outcome, work.attempts)

    def _run(self, work: HeldJob, times: StepTimes) -> str:
        watch = _Watch(self._store, work, self._stopping)
        try:
            made = self._compute(work, watch, times)
        except ReportedError as error:
            if isinstance(error, PlanNotProvedError):
                _LOG.error("a plan is not proved", extra={"error": error.detail})
            return self._fail(work, pointing_into(error, self._request(work)["request"]))
        except child.StoppedError as error:
            return self._stopped(work, watch, error)
        except child.TaskError as error:
            _LOG.error("a job failed", extra={"error": str(error)})
            return self._fail(work, _DEFECT)
        began = time.perf_counter()
        try:
            with spans.span("store"):
                self._with_retries(lambda: self._keep(work, made), watch)
        except FilesUnreachableError:
            # Without a verdict it has waited long enough: done again later, and not as an attempt.
            verdict = watch.verdict if watch.verdict != "go on" else "stopping"
            return self._interrupted(work, verdict)
        except OSError:
            _LOG.exception("the result of a job could not be stored")
            return self._fail(work, _NO_ROOM)
        finally:
            times.add("storing", time.perf_counter() - began)
        return "succeeded"

    def _stopped(self, work: HeldJob, watch: _Watch, error: child.StoppedError) -> str:
        if error.why == "watcher":
            return self._interrupted(work, watch.verdict)
        if error.why == "killed" and self._store.jobs.try_again(work):
            _LOG.warning("a job was killed; it is tried again", extra={"detail": error.detail})
            return "killed"
        settings = self._settings
        why = stopped(error, settings.job_seconds, settings.compute_memory_mb)
        _LOG.warning("a job was stopped", extra={"why": error.why, "detail": error.detail})
        return self._fail(work, why)

    def _compute(self, work: HeldJob, watch: _Watch, times: StepTimes) -> Bundle | QuiltPlanAnswer:
        began, steps = time.perf_counter(), StepTimes()
        try:
            return self._computed(work, watch, steps)
        finally:
            steps.add_rest(time.perf_counter() - began)
            times.include(steps)

    def _computed(self, work: HeldJob, watch: _Watch, times: StepTimes) -> Bundle | QuiltPlanAnswer:
        request = self._request(work)
        seconds = self._settings.job_seconds
        belongs = self._answer_of(request) if work.kind == RECUT else request.get("cutters", {})
        made: Bundle | QuiltPlanAnswer = child.run(
            job_of(work.kind, self._settings),
            (float(seconds), request["request"], belongs),
            seconds=seconds,
            memory_bytes=self._settings.compute_memory_mb << 20,
            watch=watch,
            times=times,
        )
        return made

    def _answer_of(self, request: Mapping[str, Any]) -> bytes:
        """Return the stored answer of the kit that is cut again.

        Raises:
            ProblemError: when it is gone.
        """
        answer = self._store.kits.answer(request["kit"])
        if answer is None:
            raise _KIT_GONE
        return answer.data

    def _request(self, work: HeldJob) -> Mapping[str, Any]:
        """Return a job's request and cutters."""
        if work.batch_id is None or work.number is None:
            return dict(orjson.loads(work.request or b"{}"))
        if self._source is None or self._source[0] != work.batch_id:
            raw = self._store.batches.source(work.batch_id)
            if raw is None:
                raise LeaseLostError
            self._source = (work.batch_id, BatchSource(**orjson.loads(raw)))
        source = self._source[1]
        return {"request": source.request(work.number), "cutters": source.cutters}

    def _keep(self, work: HeldJob, made: Bundle | QuiltPlanAnswer) -> None:
        """Store a job's result and its end in one transaction."""
        if isinstance(made, Bundle) and work.kit_id is not None:
            kit = new_kit(
                made,
                work.kit_id,
                work.created_us,
                recut_of=self._request(work).get("kit"),
                key_id=work.key_id,
            )
            self._store.kits.save(kit, also=self._ended(work, kit.row.number), again=True)
            return
        answer = with_pictures(made.answer, made.files) if isinstance(made, Bundle) else made
        with self._store.engine.begin() as connection:
            end(connection, work, "succeeded")
            self._store.results.save(work.id, orjson.dumps(dump(answer)))

    def _ended(self, work: HeldJob, kit_number: str) -> Callable[[Connection], None]:
        return lambda connection: end(connection, work, "succeeded", kit_number=kit_number)

    def _fail(self, work: HeldJob, problem: ReportedError) -> str:
        document = problem_bytes(problem, work.id, work.request_id)
        self._with_retries(lambda: self._store.jobs.end(work, "failed", document))
        return "failed"

    def _interrupted(self, work: HeldJob, verdict: str) -> str:
        if verdict == "cancel":
            self._with_retries(lambda: self._store.jobs.end(work, "cancelled"))
            return "cancelled"
        if verdict == "stopping":
            self._store.jobs.release(work)
            return "given back"
        return "lost"

    def _with_retries(self, write: Callable[[], None], watch: _Watch | None = None) -> None:
        """Repeat a write while database or object store do not answer, because the work is done."""
        until = time.monotonic() + _UNREACHABLE_S
        wait = 0.1
        while True:
            try:
                write()
            except FilesUnreachableError:
                # The database answers: the job stays ours, and can be cancelled.
                is_ours = watch is not None and watch(1.0, "waiting for the object store")
                if not is_ours or time.monotonic() > until or self._stopping.wait(wait):
                    raise
                wait = min(_FILES_WAIT_S, 2.0 * wait)
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
    """Decides whether a running job may continue, and sends its heartbeats."""

    def __init__(self, store: Store, work: HeldJob, stopping: threading.Event) -> None:
        self._store, self._work, self._stopping = store, work, stopping
        self._last = time.monotonic()
        self.verdict = "go on"

    def __call__(self, done: float, phase: str) -> bool:
        if self._stopping.is_set():
            self.verdict = "stopping"
        elif time.monotonic() - self._last >= _WORD_S:
            self._last = time.monotonic()
            try:
                self.verdict = self._store.jobs.heartbeat(self._work, done, phase)
            except DBAPIError as error:
                # The work goes on; storing its result will fail if the lease was lost.
                _LOG.warning("a heartbeat could not be sent", extra={"cause": str(error.orig)})
        return self.verdict == "go on"
