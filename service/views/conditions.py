"""Conditions of requests that delete what has no version (RFC 9110, section 13)."""

from __future__ import annotations

from collections.abc import Callable, Collection

from flask import Response, request

from service.http.problems import ProblemError

CONDITIONS = ["If-Match", "If-None-Match"]


def require_condition(what: str, current: Callable[[], Collection[str]], *, weak: bool) -> None:
    """Raise where a condition of the request does not hold for what is there.

    Args:
        what: what it is, in words.
        current: returns its entity tags, one for each form; called only for conditions.
        weak: whether these are weak tags, which no tag in If-Match is equal to.

    Raises:
        ProblemError: with status 412.
    """
    if not any(name in request.headers for name in CONDITIONS):
        return
    tags = current()
    if "If-Match" in request.headers:
        wanted = request.if_match
        if not (wanted.star_tag or (not weak and any(map(wanted.contains, tags)))):
            fault = f"If-Match does not state the {what} as it is; fetch it again, or leave it out."
            raise ProblemError("precondition-failed", 412, fault)
    unwanted = request.if_none_match
    if unwanted.star_tag or any(map(unwanted.contains_weak, tags)):
        fault = f"If-None-Match states the {what} as it is; leave it out."
        raise ProblemError("precondition-failed", 412, fault)


def tag_of(response: Response) -> str:
    """Return the entity tag of an answer that is tagged by its content."""
    response.add_etag(weak=True)
    return response.get_etag()[0] or ""
