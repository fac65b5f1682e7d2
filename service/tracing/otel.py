"""Traces by OpenTelemetry, sent to a collector by OTLP over HTTP (extra ``traces``).

The variables are those of OpenTelemetry (https://opentelemetry.io/docs/specs/otel/protocol/exporter/
and https://opentelemetry.io/docs/specs/otel/configuration/sdk-environment-variables/): with
``OTEL_EXPORTER_OTLP_ENDPOINT`` spans are recorded and sent, without it nothing of this is imported.
"""

from __future__ import annotations

import contextlib
import logging
import os
import threading
from collections.abc import Mapping
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from service import __version__
from service.tracing import spans
from service.tracing.spans import SpanKind, SpanValues
from service.tracing.trace_context import TraceContext

if TYPE_CHECKING:
    from opentelemetry.sdk.trace import TracerProvider

_LOG = logging.getLogger(__name__)
_ENDPOINTS = ("OTEL_EXPORTER_OTLP_ENDPOINT", "OTEL_EXPORTER_OTLP_TRACES_ENDPOINT")
_NEEDED = ("opentelemetry.sdk.trace", "opentelemetry.exporter.otlp.proto.http")
_NAME = "quarterseam"
#: How long an ending process waits for its last spans to be taken.
_FLUSH_S = 3.0


def is_wanted(environment: Mapping[str, str]) -> bool:
    """Return whether the environment names a collector."""
    return any(environment.get(each) for each in _ENDPOINTS)


def set_up() -> None:
    """Record the spans of this process if the environment names a collector.

    It starts a thread: a process that is about to fork others must not call it.
    """
    if not is_wanted(os.environ):
        return
    if not _is_installed():
        _LOG.warning(
            "traces are wanted and cannot be sent: pip install 'quarterseam[traces]'",
            extra={"variable": " or ".join(_ENDPOINTS)},
        )
        return
    from opentelemetry.exporter.otlp.proto.http.trace_exporter import (  # noqa: PLC0415
        OTLPSpanExporter,
    )
    from opentelemetry.sdk.trace import TracerProvider  # noqa: PLC0415
    from opentelemetry.sdk.trace.export import BatchSpanProcessor  # noqa: PLC0415

    provider = TracerProvider(resource=_resource(), shutdown_on_exit=False)
    provider.add_span_processor(BatchSpanProcessor(OTLPSpanExporter()))
    spans.use(OtelTracer(provider))


def _is_installed() -> bool:
    try:
        return all(find_spec(each) is not None for each in _NEEDED)
    except ModuleNotFoundError:
        return False


def _resource() -> Any:  # noqa: ANN401 - the library may not be installed
    from opentelemetry.sdk.resources import Resource  # noqa: PLC0415

    stated: dict[str, Any] = {"service.version": __version__}
    named = "service.name=" in os.environ.get("OTEL_RESOURCE_ATTRIBUTES", "")
    if not os.environ.get("OTEL_SERVICE_NAME") and not named:
        stated["service.name"] = _NAME
    return Resource.create(stated)


class OtelTracer:
    """Records spans with OpenTelemetry's SDK.

    Args:
        provider: where they go.
    """

    def __init__(self, provider: TracerProvider) -> None:
        self._provider = provider
        self._tracer = provider.get_tracer(_NAME, __version__)

    def start(
        self,
        name: str,
        parent: TraceContext | None,
        kind: SpanKind,
        values: SpanValues,
        began_ns: int | None = None,
    ) -> OtelSpan:
        """Start a span, now or at a time in ns since 1970."""
        from opentelemetry import trace  # noqa: PLC0415 - see set_up
        from opentelemetry.context import Context  # noqa: PLC0415

        # An empty one: what other code of this thread may have set is no parent of ours.
        context = Context()
        if parent is not None:
            flags = trace.TraceFlags(trace.TraceFlags.SAMPLED if parent.is_sampled else 0)
            remote = trace.SpanContext(
                int(parent.trace_id, 16), int(parent.span_id, 16), is_remote=True, trace_flags=flags
            )
            context = trace.set_span_in_context(trace.NonRecordingSpan(remote), context)
        made = self._tracer.start_span(
            name,
            context,
            trace.SpanKind[kind.upper()],
            attributes=dict(values),
            start_time=began_ns,
            record_exception=False,
        )
        return OtelSpan(made)

    def end(self) -> None:
        """Send what is recorded, as far as the collector takes it in time."""
        # The library waits for a collector that is away longer than it is asked to.
        flush = threading.Thread(target=self._flush, daemon=True)
        flush.start()
        flush.join(_FLUSH_S)

    def _flush(self) -> None:
        with contextlib.suppress(Exception):
            self._provider.force_flush(int(1000 * _FLUSH_S))


class OtelSpan:
    """A span of OpenTelemetry's."""

    def __init__(self, made: Any) -> None:  # noqa: ANN401 - the library may not be installed
        self._made = made
        found = made.get_span_context()
        self.context = TraceContext(
            f"{found.trace_id:032x}", f"{found.span_id:016x}", bool(found.trace_flags.sampled)
        )

    def rename(self, name: str) -> None:
        """Give it another name."""
        self._made.update_name(name)

    def state(self, values: SpanValues) -> None:
        """Add attributes."""
        self._made.set_attributes(dict(values))

    def fail(self, why: str) -> None:
        """State that it failed."""
        from opentelemetry.trace import Status, StatusCode  # noqa: PLC0415 - see set_up

        self._made.set_attribute("error.type", why)
        self._made.set_status(Status(StatusCode.ERROR))

    def end(self, ended_ns: int | None = None) -> None:
        """End it, now or at a time in ns since 1970."""
        self._made.end(ended_ns)
