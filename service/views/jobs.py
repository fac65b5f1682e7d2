"""Jobs: list, get, follow and cancel them."""

from __future__ import annotations

import threading
import time
import uuid
from collections.abc import Iterator
from typing import Any

import orjson
from flask import Blueprint, Response, g, request
from sqlalchemy.exc import DBAPIError

from service.answers.jobs import JobAnswer, JobList
from service.answers.kits import LayoutsAnswer
from service.answers.quilts import QuiltPlanAnswer
from service.http.auth import insufficient_scope, may_write
from service.http.current import store
from service.http.endpoint import JSON, Answer, op, respond
from service.http.ownership import missing, viewer
from service.http.problems import ProblemError
from service.jobs.answers import job_answer
from service.requests.pages import ListPage, ListQuerySchema
from service.schemas.codec import dump
from service.storage.announcements import CALLBACK
from service.storage.job_states import ENDED
from service.storage.jobs import Jobs
from service.views.conditions import CONDITIONS, require_condition, tag_of
from service.views.files import file_response
from service.views.pages import cursor, linked, opaque
from service.views.streams import closing, streamed

blueprint = Blueprint("jobs", __name__, url_prefix="/v1/jobs")

EVENTS = "text/event-stream"
LAST_SEEN = "Last-Event-ID"
#: A stream ends after this time; browsers reconnect and state the last event that they saw.
_LONGEST_S = 60.0
#: Time between two looks at a job that is followed.
_LOOK_S = 0.25
#: Time after which a comment is sent, so that proxies keep a silent stream open.
_HEARTBEAT_S = 10.0


@blueprint.get("")
@op(
    id="listJobs",
    tag="jobs",
    query=ListQuerySchema,
    answers={200: Answer("Jobs, newest first", JobList, headers={"Link": "rel=next, if any"})},
)
def list_jobs(query: ListPage) -> tuple[JobList, int, dict[str, str]]:
    """List jobs, newest first, without callbacks and the jobs of batches."""
    limit = query.limit
    after = cursor(query.after) if query.after else None
    rows = store().jobs.page(limit + 1, after=after, key_id=viewer())
    following = None
    if len(rows) > limit:
        last = rows[limit - 1]
        following = f"/v1/jobs?limit={limit}&after={opaque(last.created_us, last.id)}"
    return linked(JobList(jobs=[job_answer(row) for row in rows[:limit]], next=following))


@blueprint.get("/<uuid:job_id>")
@op(
    id="getJob",
    tag="jobs",
    answers={200: Answer("The job as it stands", JobAnswer)},
    problems=[404],
)
def get_job(job_id: uuid.UUID) -> JobAnswer:
    """Get a job's state and progress. A failed job has a `problem`."""
    return job_answer(_found(job_id))


@blueprint.delete("/<uuid:job_id>")
@op(
    id="cancelJob",
    tag="jobs",
    answers={
        200: Answer("The job has ended, now or earlier", JobAnswer),
        202: Answer("It is being stopped", JobAnswer),
    },
    problems=[404],
    takes=CONDITIONS,
)
def cancel_job(job_id: uuid.UUID) -> tuple[JobAnswer, int, dict[str, str]]:
    """Cancel a job. A running job stops within a second; an ended one does not change.

    A key for reading can cancel the jobs that it started.
    """
    if not may_write() and _found(job_id).key_id != g.key_id:
        raise insufficient_scope("write")
    require_condition("job", lambda: _tags(job_id), weak=True)
    store().make_way(store().jobs.cancel, str(job_id))
    row = _found(job_id)
    return job_answer(row), 200 if row.state in ENDED else 202, {}


def _tags(job_id: uuid.UUID) -> tuple[str]:
    return (tag_of(respond((job_answer(_found(job_id)), 200, {}))),)


@blueprint.get("/<uuid:job_id>/result")
@op(
    id="getJobResult",
    tag="jobs",
    answers={200: Answer("The answer to the original request", (LayoutsAnswer, QuiltPlanAnswer))},
    problems=[404, 409],
)
def get_job_result(job_id: uuid.UUID) -> Response:
    """Get the result of a job that creates no kit: a preview's loads and pictures, or a plan."""
    row = _found(job_id)
    if row.kind == CALLBACK:
        raise ProblemError("not-found", 404, "This job is a callback; it has no result.")
    if row.kit_id is not None:
        detail = (
            "A job that creates a kit has no other result; `kit` leads to it once it succeeded."
        )
        raise ProblemError("not-found", 404, detail)
    if row.state != "succeeded":
        detail = (
            f"The job has {row.state}; its member `problem` says why."
            if row.state == "failed"
            else f"The job is {row.state}; there is no result."
        )
        # A job that failed or was cancelled never gets a result.
        wait = {"Retry-After": "2"} if row.state in {"queued", "running"} else {}
        raise ProblemError("not-ended", 409, detail, headers=wait, state=row.state)
    data = store().results.get(str(job_id))
    if data is None:
        detail = "This result was deleted because newer ones needed the room. Repeat the request."
        raise ProblemError("not-found", 404, detail)
    return file_response(data, JSON, etag=f"{job_id}")


@blueprint.get("/<uuid:job_id>/events")
@op(
    id="followJob",
    tag="jobs",
    answers={
        200: Answer("Events until the job ends, for up to a minute", media=[EVENTS]),
        204: Answer("The job has ended, and the client has seen its last event"),
    },
    problems=[404],
    takes=[LAST_SEEN],
)
def follow_job(job_id: uuid.UUID) -> Response:
    """Follow a job by server-sent events: `progress` while it runs, `ended` at its end.

    The data of each event is the job. A stream lasts up to a minute, and the number of streams is
    limited; reconnect with the last `Last-Event-ID`, as browsers do by themselves.
    """
    row = _found(job_id)
    seen = request.headers.get(LAST_SEEN, "")
    if row.state in ENDED and seen == str(row.version):
        return respond((None, 204, {}))
    events = _events(store().jobs, str(job_id), seen, closing())
    return streamed(events, EVENTS, {"Cache-Control": "no-store", "X-Accel-Buffering": "no"})


def _events(jobs: Jobs, job_id: str, seen: str, ending: threading.Event) -> Iterator[bytes]:
    """Yield an event for each visible change of a job."""
    until = time.monotonic() + _LONGEST_S
    last_sent = time.monotonic()
    yield b"retry: 2000\n\n"
    while time.monotonic() < until:
        try:
            changed = str(jobs.version(job_id)) != seen
            row = jobs.get(job_id) if changed else None
        except DBAPIError:
            # The client reconnects and then gets the current state.
            return
        if changed and row is None:
            return
        if row is not None:
            seen, last_sent = str(row.version), time.monotonic()
            yield _event(row)
            if row.state in ENDED:
                return
        elif time.monotonic() - last_sent >= _HEARTBEAT_S:
            last_sent = time.monotonic()
            yield b": still here\n\n"
        if ending.wait(_LOOK_S):
            return


def _event(row: Any) -> bytes:  # noqa: ANN401 - a row of the table of jobs
    name = "ended" if row.state in ENDED else "progress"
    data = orjson.dumps(dump(job_answer(row)))
    return b"id: %d\nevent: %s\ndata: %s\n\n" % (row.version, name.encode(), data)


def _found(job_id: uuid.UUID) -> Any:  # noqa: ANN401 - a row of the table of jobs
    row = store().jobs.get(str(job_id))
    if row is None:
        raise missing("job_id")
    return row
