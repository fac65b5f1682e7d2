"""Problems: errors of requests, which are answered by the documents of RFC 9457."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from geometry.errors import GeometryError, GeometryFaults

MAX_FAULTS = 50
"""More faults than this in one answer help nobody."""


class Fault(NamedTuple):
    """One error: a JSON pointer in fragment form (``#/pieces/0``) and a message."""

    pointer: str
    detail: str


class ProblemError(Exception):
    """An error that is answered with a problem document.

    Args:
        slug: A heading of openapi/problems.md; the document's ``type`` points there.
        status: The HTTP status.
        detail: What is wrong with this request, and a value that would work.
        errors: The single errors, where there are several or one has a place in the request.
        headers: Headers of the answer, such as Retry-After.
        extra: Further members of the document, such as ``largest_allowance_mm``.
    """

    def __init__(
        self,
        slug: str,
        status: int,
        detail: str,
        errors: Sequence[Fault] = (),
        *,
        headers: dict[str, str] | None = None,
        **extra: Any,  # noqa: ANN401 - any JSON value
    ) -> None:
        """Store the parts; see the class."""
        super().__init__(detail)
        self.slug = slug
        self.status = status
        self.detail = detail
        self.errors = tuple(errors)
        self.headers = dict(headers or {})
        self.extra = extra


def of_geometry(error: GeometryError) -> ProblemError:
    """Return the problem for an error of geometry in a request."""
    found = error.faults if isinstance(error, GeometryFaults) else (error,)
    faults = [Fault(pointer(*each.where), each.message) for each in found]
    return ProblemError("invalid-request", 422, error.message, faults)


def pointing_into(problem: ProblemError, body: Any) -> ProblemError:  # noqa: ANN401 - JSON values
    """Return a problem whose pointers all lead to values that exist in the body.

    For a value that is not in the body (a setting of a saved cutter, a default) the pointer leads
    to its nearest ancestor there. For a missing required member it leads to the object that lacks
    it, and the message names the member.
    """
    found = [Fault(_nearest(each.pointer, body), each.detail) for each in problem.errors]
    if found == list(problem.errors):
        return problem
    return ProblemError(
        problem.slug, problem.status, problem.detail, list(dict.fromkeys(found)),
        headers=problem.headers, **problem.extra,
    )  # fmt: skip


def _nearest(place: str, body: Any) -> str:  # noqa: ANN401 - JSON values
    """Return a pointer, shortened to the part that exists in the body."""
    if not place.startswith("#/"):
        return place
    at, value = "#", body
    for step in place[2:].split("/"):
        key = step.replace("~1", "/").replace("~0", "~")
        if isinstance(value, Mapping) and key in value:
            value = value[key]
        elif isinstance(value, list) and key.isdecimal() and int(key) < len(value):
            value = value[int(key)]
        else:
            break
        at = f"{at}/{step}"
    return at


def pointer(*steps: str | int) -> str:
    """Return a JSON pointer (RFC 6901) in its URI fragment form.

    Args:
        steps: Member names and indexes from the root down.
    """
    return "#" + "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in steps)
