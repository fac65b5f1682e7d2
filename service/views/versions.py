"""Versions of what is saved by name, as entity tags and conditions of requests (RFC 9110)."""

from __future__ import annotations

from typing import Protocol

from flask import Response, request
from werkzeug.datastructures import ETags

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
    if "If-Match" in request.headers:
        tags = request.if_match
        return Expected() if tags.star_tag else Expected(_versions(tags))
    if "If-None-Match" in request.headers:
        tags = request.if_none_match
        return Expected(none=True) if tags.star_tag else Expected(other_than=_versions(tags))
    return None


def _versions(tags: ETags) -> frozenset[int]:
    stated = (tag for tag in tags.as_set() if tag and tag.isdecimal() and len(tag) <= _MAX_DIGITS)
    return frozenset(map(int, stated))


def changed(what: str, *, is_saved: bool) -> ProblemError:
    """Return the problem of a condition that does not hold.

    Args:
        what: what was to be replaced or deleted.
        is_saved: whether there is one.
    """
    if not is_saved:
        detail = f"No {what} is saved under this name; leave out If-Match to save a new one."
    elif "If-Match" in request.headers:
        detail = f"The saved {what} has another version than If-Match states; fetch it again."
    elif request.if_none_match.star_tag:
        detail = (
            f"A {what} is saved under this name already, and If-None-Match: * replaces none; use "
            "another name, or state the version to replace with If-Match."
        )
    else:
        detail = f"The saved {what} has the version that If-None-Match states."
    return ProblemError("precondition-failed", 412, detail)
