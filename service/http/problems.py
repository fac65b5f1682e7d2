"""Problems: errors of requests, which are answered by the documents of RFC 9457."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from service.errors import Fault, ReportedError
from service.http.problem_types import TYPES


class ProblemError(ReportedError):
    """An error of HTTP's own: its status and headers are stated where it is raised.

    Args:
        slug: A heading of openapi/problems.md; the document's ``type`` points there.
        status: The HTTP status.
        detail: What is wrong with this request, and a value that would work.
        errors: The single errors, where there are several or one has a place in the request.
        headers: Headers of the answer, such as Retry-After.
        extra: Further members of the document, such as ``state``.
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
        super().__init__(detail, errors, **extra)
        self.slug = slug
        self.status = status
        self.headers = dict(headers or {})


def problem_of(error: ReportedError) -> ProblemError:
    """Return an error with its status: that of its type where the error itself has none."""
    if isinstance(error, ProblemError):
        return error
    status = TYPES[error.slug].status
    wait = error.retry_after_s
    headers = {} if wait is None else {"Retry-After": str(wait)}
    return ProblemError(
        error.slug, status, error.detail, error.errors, headers=headers, **error.extra
    )
