"""The JSON answers for jobs and batches."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import orjson

from service.errors import ReportedError
from service.http.error_handlers import document
from service.http.problems import ProblemError, problem_of
from service.links import batch_address, job_address, kit_address, timestamp

DIED = ProblemError(
    "worker-died",
    500,
    "The worker died during each attempt at this job. The log may say why.",
)


def problem_bytes(problem: ReportedError, job_id: str, request_id: str) -> bytes:
    """Return the problem of a job as it is stored."""
    return orjson.dumps(document(problem_of(problem), job_address(job_id), request_id))


def job_answer(row: Any) -> dict[str, Any]:  # noqa: ANN401 - a row of the table of jobs
    """Return the answer for a job."""
    address = job_address(row.id)
    response: dict[str, Any] = {
        "id": row.id,
        "kind": row.kind,
        "title": row.title,
        "state": row.state,
        "progress": row.progress,
        "phase": row.phase,
        "attempts": row.attempts,
        "created_at": timestamp(row.created_us),
        "href": address,
        "events": f"{address}/events",
    }
    for name, value in (("started_at", row.started_us), ("ended_at", row.ended_us)):
        if value is not None:
            response[name] = timestamp(value)
    if row.state == "succeeded":
        if row.kind == "kit":
            response["kit"] = kit_address(row.kit_id)
        else:
            response["result"] = f"{address}/result"
    if row.batch_id is not None:
        response["batch"] = batch_address(row.batch_id)
    if row.problem is not None:
        response["problem"] = orjson.loads(row.problem)
    return response


def batch_answer(row: Any, counts: Mapping[str, int]) -> dict[str, Any]:  # noqa: ANN401
    """Return the answer for a batch, without its kits."""
    states = ("queued", "running", "succeeded", "failed", "cancelled")
    many = {state: counts.get(state, 0) for state in states}
    ended = row.total - many["queued"] - many["running"]
    if ended == row.total:
        state = "cancelled" if many["cancelled"] else "ended"
    else:
        state = "running" if many["running"] or ended else "queued"
    address = batch_address(row.id)
    return {
        "id": row.id,
        "title": row.title,
        "state": state,
        "created_at": timestamp(row.created_us),
        "total": row.total,
        "counts": many,
        "progress": ended / row.total,
        "href": address,
        "failures": f"{address}/failures",
        **({"reference": row.reference} if row.reference else {}),
    }
