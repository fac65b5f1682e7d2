"""The JSON answers for jobs and batches."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import orjson

from service.answers.jobs import (
    STATES,
    BatchKit,
    BatchState,
    BatchSummary,
    CountsAnswer,
    FailureAnswer,
    JobAnswer,
)
from service.callbacks.messages import callback_id
from service.errors import ReportedError
from service.http.error_handlers import document
from service.http.problems import ProblemError, problem_of
from service.links import batch_address, job_address, kit_address, timestamp
from service.storage.announcements import CALLBACK, PASSED_ON

DIED = ProblemError(
    "worker-died",
    500,
    "The worker died during each attempt at this job. The log may say why.",
)


def problem_bytes(problem: ReportedError, job_id: str, request_id: str) -> bytes:
    """Return the problem of a job as it is stored."""
    return orjson.dumps(document(problem_of(problem), job_address(job_id), request_id))


def job_answer(row: Any) -> JobAnswer:  # noqa: ANN401 - a row of the table of jobs
    """Return the answer for a job."""
    address = job_address(row.id)
    is_done = row.state == "succeeded"
    made_kit = is_done and row.kit_id is not None and row.has_kit
    made_result = is_done and row.kit_id is None and row.kind != CALLBACK
    return JobAnswer(
        id=row.id,
        kind=row.kind,
        title=row.title,
        state=row.state,
        progress=row.progress,
        phase=row.phase,
        attempts=row.attempts,
        created_at=timestamp(row.created_us),
        href=address,
        events=f"{address}/events",
        started_at=None if row.started_us is None else timestamp(row.started_us),
        ended_at=None if row.ended_us is None else timestamp(row.ended_us),
        kit=kit_address(row.kit_id) if made_kit else None,
        result=f"{address}/result" if made_result else None,
        batch=None if row.batch_id is None else batch_address(row.batch_id),
        problem=None if row.problem is None else orjson.loads(row.problem),
        callback=_callback(row),
    )


def _callback(row: Any) -> str | None:  # noqa: ANN401 - a row of a job or a batch
    """Return the address of the callback of a job or a batch, once it has become due."""
    return job_address(callback_id(row.id)) if row.callback == PASSED_ON else None


def batch_answer(row: Any, counts: Mapping[str, int]) -> BatchSummary:  # noqa: ANN401
    """Return the answer for a batch, without its kits."""
    many = CountsAnswer(**{state: counts.get(state, 0) for state in STATES})
    ended = row.total - many.queued - many.running
    address = batch_address(row.id)
    return BatchSummary(
        id=row.id,
        title=row.title,
        state=_batch_state(row.total, many),
        created_at=timestamp(row.created_us),
        total=row.total,
        counts=many,
        progress=ended / row.total,
        href=address,
        failures=f"{address}/failures",
        reference=row.reference or None,
        callback=_callback(row),
        number=row.number or None,
    )


def _batch_state(total: int, many: CountsAnswer) -> BatchState:
    waiting = many.queued + many.running
    if not waiting:
        return "cancelled" if many.cancelled else "ended"
    return "running" if many.running or waiting < total else "queued"


def batch_kit(row: Any) -> BatchKit:  # noqa: ANN401 - a row of the table of jobs
    """Return the answer for a kit of a batch that was made."""
    return BatchKit(
        number=row.number + 1,
        title=row.title,
        ended_at=timestamp(row.ended_us),
        kit=kit_address(row.kit_id),
        job=job_address(row.id),
    )


def failure(row: Any) -> FailureAnswer:  # noqa: ANN401 - a row of the table of jobs
    """Return the answer for a kit of a batch that could not be made."""
    return FailureAnswer(
        number=row.number + 1,
        title=row.title,
        ended_at=timestamp(row.ended_us),
        job=job_address(row.id),
        problem=orjson.loads(row.problem),
    )
