"""What every line of the log says of the work that it belongs to."""

from __future__ import annotations

import contextlib
import contextvars
from collections.abc import Iterator, Mapping

_CURRENT: contextvars.ContextVar[Mapping[str, str] | None] = contextvars.ContextVar(
    "fields of log lines", default=None
)


def current() -> Mapping[str, str]:
    """Return the fields of this thread's log lines."""
    return _CURRENT.get() or {}


def begin(members: Mapping[str, str]) -> None:
    """Add fields to every log line of this thread until others take their place."""
    _CURRENT.set(members)


@contextlib.contextmanager
def about(**members: str) -> Iterator[None]:
    """Add fields to every log line until the block ends."""
    token = _CURRENT.set(members)
    try:
        yield
    finally:
        _CURRENT.reset(token)
