"""Problem documents (RFC 9457)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from service.answers.cures import CureAnswer
from service.schemas.answers import (
    Link,
)


@dataclass(frozen=True, kw_only=True)
class FaultAnswer:
    """One error of a request."""

    pointer: Annotated[str | None, "JSON pointer into the body, as a fragment"] = None
    parameter: Annotated[str | None, "name of a query parameter"] = None
    detail: str
    cure: Annotated[
        CureAnswer | None, "changes that cure it; only where they are sure to, and not on a query"
    ] = None
    largest_percent: Annotated[
        int | None, "of a drawn outline that is too large: the share of its size that fits"
    ] = None


@dataclass(frozen=True, kw_only=True)
class Problem:
    """A problem document (RFC 9457); further members depend on its type."""

    type: Annotated[Link, "the problem type, described at that address"]
    title: str
    status: int
    detail: str
    instance: Annotated[Link | None, "the request's path"] = None
    request_id: str
    errors: Sequence[FaultAnswer] | None = None
