"""All problem types, one row per type; the source of problems.md."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from service.http import http_problems, request_problems, service_problems

PLACE = "/problems"
"""Path of the page that describes the types."""


@dataclass(frozen=True)
class ProblemType:
    """A problem type.

    Args:
        slug: its name, the last part of its type's address.
        status: its HTTP status.
        title: a short summary, always the same.
        text: its meaning and remedy.
    """

    slug: str
    status: int
    title: str
    text: str

    @property
    def uri(self) -> str:
        """The ``type`` of the problem document."""
        return f"{PLACE}#{self.slug}"


_ROWS = (*http_problems.ROWS, *request_problems.ROWS, *service_problems.ROWS)

TYPES: Final[Mapping[str, ProblemType]] = MappingProxyType(
    {row[0]: ProblemType(*row) for row in _ROWS}
)

BY_STATUS: Final[Mapping[int, str]] = MappingProxyType(
    {
        400: "bad-request",
        404: "not-found",
        405: "method-not-allowed",
        406: "not-acceptable",
        408: "request-timeout",
        412: "precondition-failed",
        413: "body-too-large",
        414: "address-too-long",
        431: "headers-too-large",
        415: "unsupported-media-type",
        421: "misdirected-request",
        503: "unavailable",
    }
)
"""The types of plain HTTP errors."""


def markdown() -> str:
    """Return the text of openapi/problems.md: one heading per type."""
    parts = [
        "# Problems\n",
        (
            "Every error is a problem document (RFC 9457, `application/problem+json`). Its `type` "
            f"is `{PLACE}#NAME` with one of the names below.\n"
        ),
    ]
    parts.extend(
        f"## {each.slug}\n\n{each.title} ({each.status}).\n\n{each.text}\n"
        for each in TYPES.values()
    )
    return "\n".join(parts)
