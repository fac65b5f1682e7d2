"""Requests that become jobs: stored, delivered to a worker, then answered."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import orjson
from flask import Response, current_app, g, request
from werkzeug.http import parse_list_header

from service.answers.jobs import JobAnswer
from service.batches.effort import request_effort
from service.callbacks.messages import request_bytes
from service.http.current import settings, store
from service.http.endpoint import Answer, respond
from service.http.idempotency import claimed
from service.http.logs import traceparent
from service.http.ownership import maker
from service.http.problems import ProblemError
from service.jobs.answers import job_answer
from service.links import job_address
from service.requests.callbacks import Callback
from service.requests.kits import KitRequest
from service.storage.idempotency_keys import Claim, ClaimLostError
from service.storage.job_sweep import Delivery
from service.storage.jobs import NewJob
from service.storage.orders import Order, QueueFullError, QueueLimits

PREFER = "Prefer"
ASYNC = "respond-async"
_LOCATION = {"Location": "the job's address", "Preference-Applied": ASYNC}
JOB_LINKS = ("getJob", "cancelJob", "followJob")
JOB_ANSWER = Answer(
    "A job that will create it, if the request prefers that",
    JobAnswer,
    headers=_LOCATION,
    links=JOB_LINKS,
    link_id="job_id",
)


def prefers_async() -> bool:
    """Return whether the request prefers a job to waiting (RFC 7240)."""
    stated = ",".join(request.headers.getlist(PREFER))
    names = [each.partition(";")[0].partition("=")[0] for each in parse_list_header(stated)]
    return ASYNC in {name.strip().lower() for name in names}


def deliver(message: Delivery) -> None:
    """Send a message to the workers; when that fails, a sweep sends it later."""
    current_app.extensions["quarterseam-sender"]().deliver(message)


@dataclass(frozen=True)
class WantedJob:
    """A job that a request asks for.

    Args:
        kind: name of its task.
        title: for people.
        stored: the JSON that each attempt starts from, with the request as ``request``.
        effort_s: seconds of search.
        makes_kit: whether its result is a kit.
        callback: who is called back at its end.
        reference: the caller's own; may be empty.
    """

    kind: str
    title: str
    stored: Mapping[str, Any]
    effort_s: float
    makes_kit: bool
    callback: Callback | None
    reference: str


def kit_job(kind: str, body: KitRequest, *, makes_kit: bool) -> WantedJob:
    """Return the job for a kit's request."""
    return WantedJob(
        kind=kind,
        title=str(body.document.get("title", "")),
        # A copy of the cutters, so that every attempt uses the same ones.
        stored={"request": body.document, "cutters": body.cutters},
        effort_s=request_effort(body.document),
        makes_kit=makes_kit,
        callback=body.callback,
        reference=body.reference,
    )


def submitted(wanted: WantedJob) -> Response:
    """Store and deliver a job; return its answer."""
    with claimed(ASYNC) as claim:
        if isinstance(claim, str):
            return _accepted(claim)
        return _accepted(_keep(wanted, claim))


def _keep(wanted: WantedJob, claim: Claim | None) -> str:
    job_id = str(uuid.uuid4())
    job = NewJob(
        id=job_id,
        kind=wanted.kind,
        title=wanted.title,
        request=orjson.dumps(wanted.stored),
        request_id=g.request_id,
        kit_id=str(uuid.uuid4()) if wanted.makes_kit else None,
        callback=request_bytes(wanted.callback, wanted.reference),
        traceparent=traceparent(),
    )
    order = Order(maker(), 1, wanted.effort_s)
    try:
        store().jobs.add(job, order=order, limits=queue_limits(), claim=claim)
    except QueueFullError as error:
        raise too_many(error) from None
    except ClaimLostError:
        raise still_running() from None
    deliver(Delivery("job", job_id))
    return job_id


def _accepted(job_id: str) -> Response:
    row = store().jobs.get(job_id)
    if row is None:
        raise ProblemError(
            "not-found", 404, "The job created with this Idempotency-Key has been deleted."
        )
    headers = {"Location": job_address(job_id), "Preference-Applied": ASYNC}
    return respond((job_answer(row), 202, headers))


def queue_limits() -> QueueLimits:
    """Return the limits of the queue."""
    stated = settings()
    return QueueLimits(
        stated.max_queued_jobs, stated.jobs_waiting_per_key, float(stated.effort_waiting_seconds)
    )


def too_many(error: QueueFullError) -> ProblemError:
    """Return the problem for a full queue."""
    detail = f"{error} Try again in a minute."
    return ProblemError("busy", 503, detail, headers={"Retry-After": "60"})


def still_running() -> ProblemError:
    """Return the problem for a request while another one with its key is running."""
    detail = "The first request with this Idempotency-Key is still being answered."
    return ProblemError("still-running", 409, detail, headers={"Retry-After": "2"})
