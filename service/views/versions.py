"""Versions of what is saved by name, as entity tags and conditions of requests (RFC 9110)."""

from __future__ import annotations

from dataclasses import replace
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
        found = Expected(None if request.if_match.star_tag else _versions(request.if_match))
        return _also_none_of(found) if "If-None-Match" in request.headers else found
    if "If-None-Match" in request.headers:
        tags = request.if_none_match
        found = Expected(other_than=_versions(tags, weak=True), may_be_new=True)
        return Expected(none=True) if tags.star_tag else found
    return None


def _also_none_of(expected: Expected) -> Expected:
    """Return what is expected where both headers are stated: RFC 9110, 13.2.2."""
    tags = request.if_none_match
    if tags.star_tag:
        # Something has to be there, and nothing.
        return Expected(frozenset())
    return replace(expected, other_than=_versions(tags, weak=True))


def _versions(tags: ETags, *, weak: bool = False) -> frozenset[int]:
    """Return the versions that tags state; weak ones count where tags are compared weakly."""
    stated = tags.as_set(include_weak=weak)
    return frozenset(
        int(tag) for tag in stated if tag and tag.isdecimal() and len(tag) <= _MAX_DIGITS
    )


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
    elif request.method == "DELETE":
        detail = f"If-None-Match states the saved {what}; leave it out to delete it."
    elif request.if_none_match.star_tag:
        detail = (
            f"A {what} is saved under this name already, and If-None-Match: * replaces none; use "
            "another name, or state the version to replace with If-Match."
        )
    else:
        detail = f"The saved {what} has the version that If-None-Match states."
    return ProblemError("precondition-failed", 412, detail)
