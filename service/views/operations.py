"""Operations: health, readiness, metrics, the OpenAPI document and the problem types."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from flask import Blueprint, Response, current_app
from prometheus_client import CONTENT_TYPE_LATEST
from sqlalchemy.exc import SQLAlchemyError

from service import __version__
from service.answers.health import Health, Readiness
from service.http.current import store
from service.http.endpoint import JSON, Answer, op
from service.http.job_metrics import job_metrics_text
from service.http.metrics import gauges_text
from service.http.problem_types import PLACE, markdown
from service.http.problems import ProblemError
from service.storage.found_files import FilesUnreachableError
from service.storage.room import DISK_FULL
from service.views.files import file_response

if TYPE_CHECKING:
    # Not at import: the queue brings every driver along that is installed.
    from service.jobs.queue_probe import QueueProbe

blueprint = Blueprint("operations", __name__)


@blueprint.get("/healthz")
@op(
    id="checkHealth",
    tag="operations",
    answers={200: Answer("The process answers", Health)},
    scope="",
    limited=False,
)
def check_health() -> Health:
    """Check that the process answers, without using the store."""
    return Health(status="ok", version=__version__)


@blueprint.get("/readyz")
@op(
    id="checkReadiness",
    tag="operations",
    answers={200: Answer("It is ready", Readiness)},
    problems=[503],
    scope="",
)
def check_readiness() -> Readiness:
    """Check that kits can be stored: the folder can be written and the database answers.

    `queue` says whether the queue answers, too. It does not make the service unready: requests are
    answered without it, and jobs are stored, and delivered once it is back. `warnings` lists what
    an operator should look at soon: little free space, unlisted files, a queue that is away.
    """
    try:
        store().check()
    except (OSError, SQLAlchemyError) as error:
        detail = _unready(error)
        raise ProblemError("unavailable", 503, detail, headers={"Retry-After": "5"}) from error
    warnings = store().warnings()
    is_reached = _queue_size() is not None
    if not is_reached:
        warnings.append(
            "The queue does not answer: jobs are stored, and wait until it is back. Requests are "
            "answered as before."
        )
    return Readiness(
        status="ok",
        version=__version__,
        database="ok",
        files="ok",
        queue="ok" if is_reached else "unreachable",
        warnings=warnings,
    )


def _queue_size() -> int | None:
    """Return the number of messages in the queue; ``None`` when it does not answer."""
    probe = cast("QueueProbe", current_app.extensions["quarterseam-queue-probe"]())
    return probe.size()


def _unready(error: Exception) -> str:
    if isinstance(error, FilesUnreachableError):
        return "The object store cannot be used."
    if not isinstance(error, OSError):
        return "The database cannot be used."
    if error.errno in DISK_FULL:
        return "The volume of the data folder is full: delete kits or give it more room."
    return "The data folder cannot be used."


@blueprint.get("/openapi.json")
@op(
    id="getOpenApiDocument",
    tag="operations",
    answers={200: Answer("An OpenAPI 3.1 document", media=[JSON], headers={"ETag": "of it"})},
    scope="",
)
def get_document() -> Response:
    """Get the OpenAPI document of this service."""
    text = cast("bytes", current_app.extensions["quarterseam-document"]())
    return file_response(text, JSON, etag=current_app.extensions["quarterseam-document-etag"]())


@blueprint.get("/metrics")
@op(
    id="getMetrics",
    tag="operations",
    answers={200: Answer("Metrics in Prometheus' text format", media=["text/plain"])},
    scope="admin",
)
def get_metrics() -> Response:
    """Get metrics of requests, computations, jobs and the store, summed over all processes."""
    text = current_app.extensions["quarterseam-figures"].text()
    totals = store().job_totals
    jobs = job_metrics_text(totals.phase_seconds(), totals.ends())
    gauges = gauges_text(store().figures() | _queue_figures())
    return Response(text + jobs + gauges, content_type=CONTENT_TYPE_LATEST)


def _queue_figures() -> dict[str, tuple[str, float]]:
    size = _queue_size()
    return {
        "quarterseam_queue_up": ("Whether the queue answers", size is not None),
        "quarterseam_queue_messages": ("Messages in the queue", size or 0),
    }


@blueprint.get(PLACE)
@op(
    id="getProblemTypes",
    tag="operations",
    answers={200: Answer("Text in Markdown", media=["text/markdown"])},
    scope="",
)
def get_problem_types() -> Response:
    """Get the descriptions of all problem types."""
    return Response(markdown(), content_type="text/markdown; charset=utf-8")
