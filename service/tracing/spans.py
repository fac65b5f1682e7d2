"""Spans: what is traced, behind an interface, so that nothing depends on a library of tracing.

Without a tracer, which is the default, a span only passes on the place in the trace that it was
given, so that logs, jobs and children know their trace.
"""

from __future__ import annotations

import contextlib
import contextvars
from collections.abc import Iterator, Mapping
from typing import Literal, Protocol, TypeAlias

from service.tracing.trace_context import TraceContext, new_context

SpanKind: TypeAlias = Literal["internal", "server", "producer", "consumer"]
SpanValues: TypeAlias = Mapping[str, str | int | float]


class Span(Protocol):
    """A piece of work in a trace."""

    @property
    def context(self) -> TraceContext:
        """Its place in the trace."""

    def rename(self, name: str) -> None:
        """Give it another name."""

    def state(self, values: SpanValues) -> None:
        """Add attributes."""

    def fail(self, why: str) -> None:
        """State that it failed."""

    def end(self, ended_ns: int | None = None) -> None:
        """End it, now or at a time in ns since 1970."""


class Tracer(Protocol):
    """Records spans."""

    def start(
        self,
        name: str,
        parent: TraceContext | None,
        kind: SpanKind,
        values: SpanValues,
        began_ns: int | None = None,
    ) -> Span:
        """Start a span, now or at a time in ns since 1970."""

    def end(self) -> None:
        """Send what is recorded: the process is about to end."""


class _Unrecorded:
    """A span that nobody records."""

    def __init__(self, context: TraceContext) -> None:
        self.context = context

    def rename(self, name: str) -> None:
        """Do nothing."""

    def state(self, values: SpanValues) -> None:
        """Do nothing."""

    def fail(self, why: str) -> None:
        """Do nothing."""

    def end(self, ended_ns: int | None = None) -> None:
        """Do nothing."""


_TRACER: list[Tracer] = []
_CURRENT: contextvars.ContextVar[TraceContext | None] = contextvars.ContextVar(
    "place in a trace", default=None
)


def use(tracer: Tracer | None) -> None:
    """Record the spans of this process with a tracer, or no longer."""
    _TRACER[:] = [] if tracer is None else [tracer]


def tracer() -> Tracer | None:
    """Return the tracer of this process, if it has one."""
    return _TRACER[0] if _TRACER else None


def end() -> None:
    """Send what is recorded: the process is about to end."""
    for each in _TRACER:
        each.end()


def current() -> TraceContext | None:
    """Return the place in a trace of what this thread does."""
    return _CURRENT.get()


def enter(context: TraceContext | None) -> None:
    """State the place in a trace of what this thread does from now on."""
    _CURRENT.set(context)


def start(
    name: str,
    parent: TraceContext | None,
    kind: SpanKind = "internal",
    values: SpanValues | None = None,
    began_ns: int | None = None,
) -> Span:
    """Start a span; the caller ends it."""
    if not _TRACER:
        return _Unrecorded(parent or new_context())
    return _TRACER[0].start(name, parent, kind, values or {}, began_ns)


@contextlib.contextmanager
def span(
    name: str,
    *,
    parent: TraceContext | None = None,
    kind: SpanKind = "internal",
    values: SpanValues | None = None,
) -> Iterator[Span]:
    """Trace what a block does, as part of what this thread does, or of another parent."""
    made = start(name, parent or _CURRENT.get(), kind, values)
    token = _CURRENT.set(made.context)
    try:
        yield made
    except BaseException as error:
        made.fail(type(error).__name__)
        raise
    finally:
        _CURRENT.reset(token)
        made.end()
