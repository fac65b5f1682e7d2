"""Error handlers: turn every error into a problem document."""

from __future__ import annotations

import errno
import logging
import sqlite3
from typing import Any
from urllib.parse import quote

import orjson
from flask import Flask, Response, current_app, g, request
from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError
from werkzeug.exceptions import HTTPException, InternalServerError, NotFound

from geometry.errors import GeometryError
from service.answers.cures import cure_answer
from service.errors import MAX_FAULTS, Fault, PlanNotProvedError, ReportedError, of_geometry
from service.http.problem_types import BY_STATUS, TYPES
from service.http.problems import ProblemError, problem_of
from service.schemas.codec import dump
from service.schemas.rounding import without_noise
from service.storage.found_files import FilesUnreachableError

MEDIA_TYPE = "application/problem+json"
_LOG = logging.getLogger(__name__)
_DEFECT = 500
_NO_ANSWER = "The store of kits and cutters does not answer. Nothing was changed; try again."


def register(app: Flask) -> None:
    """Answer every error of an application with a problem document."""
    app.register_error_handler(ReportedError, answer)
    app.register_error_handler(HTTPException, _of_http)
    app.register_error_handler(GeometryError, _of_geometry)
    app.register_error_handler(OperationalError, _of_database)
    app.register_error_handler(InterfaceError, _of_database)
    app.register_error_handler(OSError, _of_disk)
    app.register_error_handler(Exception, _of_defect)


def answer(error: ReportedError) -> Response:
    """Return the response for an error."""
    problem = problem_of(error)
    if problem.slug == PlanNotProvedError.slug:
        _LOG.error("a plan is not proved", extra={"error": problem.detail})
    path = quote(request.path, safe="/:@!$&'()*+,;=~")
    body = document(problem, path, getattr(g, "request_id", ""))
    response = Response(orjson.dumps(body), status=problem.status, mimetype=MEDIA_TYPE)
    response.headers.update(problem.headers)
    g.problem = problem.slug
    return response


def document(problem: ProblemError, instance: str, request_id: str) -> dict[str, Any]:
    """Return the members of a problem's document (RFC 9457)."""
    kind = TYPES[problem.slug]
    body: dict[str, Any] = {
        "type": kind.uri,
        "title": kind.title,
        "status": problem.status,
        "detail": problem.detail,
        "instance": instance,
        "request_id": request_id,
    }
    if problem.errors:
        body["errors"] = [_fault(fault) for fault in problem.errors[:MAX_FAULTS]]
    return body | without_noise(problem.extra)


def _fault(fault: Fault) -> dict[str, Any]:
    if fault.pointer.startswith("?"):
        return {"parameter": fault.pointer[1:], "detail": fault.detail}
    found: dict[str, Any] = {"pointer": fault.pointer, "detail": fault.detail}
    if fault.cure is not None:
        found["cure"] = dump(cure_answer(fault.cure))
    if fault.largest_percent is not None:
        found["largest_percent"] = fault.largest_percent
    return found


def _of_http(error: HTTPException) -> Response:
    status = error.code or 500
    if status == _DEFECT:
        return _of_defect(error)
    slug = BY_STATUS.get(status, "bad-request")
    # Keep Allow, Retry-After and WWW-Authenticate; the content type is ours.
    headers = {name: value for name, value in error.get_headers() if name.lower() != "content-type"}
    words = error.description or error.name
    if words == NotFound.description:
        words = _nothing_there()
    return answer(ProblemError(slug, status, words, headers=headers))


def _nothing_there() -> str:
    """Return the detail of an address that is none; the library would speak of its spelling."""
    path = request.path.rstrip("/")
    if path != request.path and current_app.url_map.bind("").test(path):
        return "No resource has this address; leave out the slash at its end."
    return "No resource has this address; GET /openapi.json lists all."


def _of_geometry(error: GeometryError) -> Response:
    """Answer an error of the request that was found while computing."""
    return answer(of_geometry(error))


def _of_disk(error: OSError) -> Response:
    if isinstance(error, FilesUnreachableError):
        _LOG.error("the object store did not answer", extra={"cause": error.strerror})
        return answer(ProblemError("unavailable", 503, _NO_ANSWER, headers={"Retry-After": "5"}))
    if error.errno not in {errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EIO}:
        return _of_defect(error)
    _LOG.error("the data folder could not be written", exc_info=error)
    detail = "The volume is full. Nothing was stored; ask the operator to free space."
    return answer(ProblemError("unavailable", 503, detail, headers={"Retry-After": "60"}))


def _of_database(error: DBAPIError) -> Response:
    # Only the driver's own text: SQLAlchemy's would repeat the data.
    _LOG.error("the database did not answer", extra={"cause": str(error.orig)})
    if getattr(error.orig, "sqlite_errorcode", 0) == sqlite3.SQLITE_FULL:
        detail = "The volume is full. Nothing was stored; ask the operator to free space."
        return answer(ProblemError("unavailable", 503, detail, headers={"Retry-After": "60"}))
    return answer(ProblemError("unavailable", 503, _NO_ANSWER, headers={"Retry-After": "5"}))


def _of_defect(error: Exception) -> Response:
    cause = error.original_exception if isinstance(error, InternalServerError) else error
    _LOG.error("unhandled error", exc_info=cause or error)
    detail = "The service failed while answering; its log has the details under the request id."
    return answer(ProblemError("internal-error", 500, detail))
