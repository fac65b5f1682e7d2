"""Versions of what is saved by name, as entity tags and conditions of requests (RFC 9110)."""

from __future__ import annotations

from typing import Protocol

from flask import Response, request

from service.http.endpoint import respond
from service.http.problems import ProblemError
from service.storage.named_documents import Expected

#: A longer number is not a version and does not fit into the database.
_MAX_DIGITS = 9
ETAG = {"ETag": "the version, for If-Match and If-None-Match"}


class Versioned(Protocol):
    """An answer about something that is saved in versions."""

    @property
    def version(self) -> int:
        """Return its version."""


def with_version(answer: Versioned, status: int) -> Response:
    """Return an answer whose entity tag is its version."""
    response = respond((answer, status, {}))
    response.set_etag(str(answer.version))
    if request.method in {"GET", "HEAD"}:
        response.make_conditional(request)
    return response


def expected() -> Expected | None:
    """Return the condition for replacing, from If-Match or If-None-Match; ``None`` without one."""
    if request.headers.get("If-None-Match", "").strip() == "*":
        return Expected(none=True)
    if "If-Match" not in request.headers:
        return None
    tags = request.if_match
    if tags.star_tag:
        return Expected()
    stated = (tag for tag in tags.as_set() if tag and tag.isdecimal() and len(tag) <= _MAX_DIGITS)
    return Expected(frozenset(map(int, stated)))


def changed(what: str) -> ProblemError:
    """Return the problem of a condition that does not hold."""
    detail = f"The saved {what} has another version than the request states; fetch it again."
    return ProblemError("precondition-failed", 412, detail)
