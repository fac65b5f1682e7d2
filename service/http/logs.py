"""A log line for each answer, with its request's id and without secrets."""

from __future__ import annotations

import logging
import re
import time

from flask import Flask, Response, g, request

from service.tracing import log_fields, spans
from service.tracing.trace_context import new_context, new_id, parse

_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
#: What probes and monitors ask for every few seconds.
_UNTRACED = frozenset({"/healthz", "/readyz", "/metrics"})
_FIRST_SERVER_ERROR = 500
_ACCESS = logging.getLogger("service.access")


def register(app: Flask) -> None:
    """Give every request an id, and write a log line for every answer."""
    app.before_request(_begin)
    app.after_request(_end)


def traceparent() -> str:
    """Return the place in a trace of the request that this thread answers, for its job."""
    context = spans.current()
    return "" if context is None else context.traceparent


def _begin() -> None:
    stated = request.headers.get("X-Request-ID", "")
    g.request_id = stated if _ID.fullmatch(stated) else new_id()
    g.began = time.perf_counter()
    parent = parse(request.headers.get("traceparent"))
    if spans.tracer() is None or request.path in _UNTRACED:
        # A request that is part of no trace begins one, under its own id if that can be one.
        context = parent or new_context("" if stated else g.request_id)
    else:
        # The name is stated at the end, when the route is known.
        values = {"http.request.method": request.method, "quarterseam.request_id": g.request_id}
        g.span = spans.start(request.method, parent, "server", values)
        context = g.span.context
    spans.enter(context)
    log_fields.begin({"request_id": g.request_id, "trace_id": context.trace_id})


def _end(response: Response) -> Response:
    request_id = getattr(g, "request_id", "")
    response.headers["X-Request-ID"] = request_id
    if "span" in g:
        _end_span(g.pop("span"), response.status_code)
    if not _ACCESS.isEnabledFor(logging.INFO):
        return response
    members = {
        "method": request.method,
        # Only the path: a query may hold secrets.
        "path": request.path[:200],
        "status": response.status_code,
        # Streams are not measured: that would load all of them.
        "bytes": 0 if response.is_streamed else response.calculate_content_length() or 0,
        "ms": round(1000.0 * (time.perf_counter() - getattr(g, "began", time.perf_counter())), 2),
    }
    for name in ("problem", "key_id"):
        if getattr(g, name, None):
            members[name] = getattr(g, name)
    _ACCESS.info("answered", extra=members)
    return response


def _end_span(span: spans.Span, status: int) -> None:
    """End a request's span; attributes as OpenTelemetry's semantic conventions for HTTP have them.

    Only an error of the server is one of its span.
    """
    route = request.url_rule.rule if request.url_rule is not None else ""
    span.rename(f"{request.method} {route}".strip())
    span.state({"http.response.status_code": status, **({"http.route": route} if route else {})})
    if status >= _FIRST_SERVER_ERROR:
        span.fail(str(status))
    span.end()
