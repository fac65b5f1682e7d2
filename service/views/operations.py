"""What operators and tools ask: is it alive, is it ready, what is the contract."""

from __future__ import annotations

from typing import Any, cast

from flask import Blueprint, Response, current_app
from prometheus_client import CONTENT_TYPE_LATEST
from sqlalchemy.exc import SQLAlchemyError

from service import __version__
from service.answers.kits import Health, Readiness
from service.http.endpoint import JSON, Answer, op
from service.http.metrics import gauges_text
from service.http.problem_types import PLACE, markdown
from service.http.problems import ProblemError
from service.storage.room import DISK_FULL
from service.views.current import store
from service.views.files import file_response

blueprint = Blueprint("operations", __name__)


@blueprint.get("/healthz")
@op(
    id="checkHealth",
    tag="operations",
    answers={200: Answer("It lives", Health)},
    scope="",
    limited=False,
)
def check_health() -> dict[str, Any]:
    """Say that the process answers; touches nothing."""
    return {"status": "ok", "version": __version__}


@blueprint.get("/readyz")
@op(
    id="checkReadiness",
    tag="operations",
    answers={200: Answer("It is ready", Readiness)},
    problems=[503],
    scope="",
)
def check_readiness() -> dict[str, Any]:
    """Say whether kits can be kept: the folder can be written, the database answers.

    `warnings` say what needs a person soon: little room, files that the database does not know.
    """
    try:
        store().check()
    except (OSError, SQLAlchemyError) as error:
        detail = _unready(error)
        raise ProblemError("unavailable", 503, detail, headers={"Retry-After": "5"}) from error
    return {"status": "ok", "version": __version__, "warnings": store().warnings()}


def _unready(error: Exception) -> str:
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
    """Hand out the contract of this service."""
    text = cast("bytes", current_app.extensions["quarterseam-document"]())
    return file_response(text, JSON, etag=current_app.extensions["quarterseam-document-etag"]())


@blueprint.get("/metrics")
@op(
    id="getMetrics",
    tag="operations",
    answers={200: Answer("Figures in Prometheus' text form", media=["text/plain"])},
    scope="admin",
)
def get_metrics() -> Response:
    """Hand out figures of requests, computations and the store, those of every process summed."""
    text = current_app.extensions["quarterseam-figures"].text()
    return Response(text + gauges_text(store().figures()), content_type=CONTENT_TYPE_LATEST)


@blueprint.get(PLACE)
@op(
    id="getProblemTypes",
    tag="operations",
    answers={200: Answer("Text in Markdown", media=["text/markdown"])},
    scope="",
)
def get_problem_types() -> Response:
    """Explain every type of problem."""
    return Response(markdown(), content_type="text/markdown; charset=utf-8")
