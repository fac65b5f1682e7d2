"""What operators and tools ask: is it alive, is it ready, what is the contract."""

from __future__ import annotations

from typing import Any, cast

from flask import Blueprint, Response, current_app
from prometheus_client import CONTENT_TYPE_LATEST
from sqlalchemy.exc import SQLAlchemyError

from service import __version__
from service.op import JSON, Answer, op
from service.problem_types import PLACE, markdown
from service.problems import ProblemError
from service.resources.current import store
from service.resources.files import file_response
from service.schemas.answers import Health

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
    answers={200: Answer("It is ready", Health)},
    problems=[503],
    scope="",
)
def check_readiness() -> dict[str, Any]:
    """Say whether kits can be kept: the folder can be written, the database answers."""
    try:
        store().check()
    except (OSError, SQLAlchemyError) as error:
        what = "data folder" if isinstance(error, OSError) else "database"
        detail = f"The {what} cannot be used."
        raise ProblemError("unavailable", 503, detail, headers={"Retry-After": "5"}) from error
    return {"status": "ok", "version": __version__}


@blueprint.get("/openapi.json")
@op(
    id="getDocument",
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
    """Hand out figures of requests and computations, those of every process summed."""
    return Response(
        current_app.extensions["quarterseam-figures"].text(), content_type=CONTENT_TYPE_LATEST
    )


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
