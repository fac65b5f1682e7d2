"""Logs as JSON lines, each with the id of the request it belongs to; never a secret in them."""

from __future__ import annotations

import contextlib
import contextvars
import logging
import re
import sys
import time
import traceback
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import orjson
from flask import Flask, Response, g, request

_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
# W3C Trace Context: version, trace id, parent id, flags.
_TRACE = re.compile(r"[0-9a-f]{2}-([0-9a-f]{32})-[0-9a-f]{16}-[0-9a-f]{2}")
_NO_TRACE = "0" * 32
_CURRENT: contextvars.ContextVar[dict[str, str] | None] = contextvars.ContextVar(
    "request", default=None
)
_ACCESS = logging.getLogger("service.access")
_USUAL = frozenset(vars(logging.makeLogRecord({}))) | {"message", "asctime", "taskName"}


class JsonFormatter(logging.Formatter):
    """One JSON object a line."""

    def format(self, record: logging.LogRecord) -> str:
        """Return a record as its line."""
        told: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": record.getMessage(),
            **(_CURRENT.get() or {}),
            **{key: value for key, value in vars(record).items() if key not in _USUAL},
        }
        if record.exc_info and record.exc_info[1] is not None:
            told["error"] = "".join(traceback.format_exception(record.exc_info[1]))
        return orjson.dumps(told, default=str).decode()


def set_up(level: str) -> None:
    """Send every log of this process to standard error as JSON lines."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonFormatter())
    root = logging.getLogger()
    root.handlers[:] = [handler]
    # What libraries have to tell of their daily work is not for this log.
    root.setLevel(max(logging.WARNING, logging.getLevelName(level)))
    for own in ("service", "adapters", "geometry", "gunicorn"):
        logging.getLogger(own).setLevel(level)


def register(app: Flask) -> None:
    """Give every request an id, and every answer a line in the log."""
    app.before_request(_begin)
    app.after_request(_end)


@contextlib.contextmanager
def about(**told: str) -> Iterator[None]:
    """Say in every line of the log what is being done, until the block ends."""
    token = _CURRENT.set(dict(told))
    try:
        yield
    finally:
        _CURRENT.reset(token)


def _begin() -> None:
    stated = request.headers.get("X-Request-ID", "")
    g.request_id = stated if _ID.fullmatch(stated) else uuid.uuid4().hex
    g.began = time.perf_counter()
    told = {"request_id": g.request_id}
    trace = _TRACE.fullmatch(request.headers.get("traceparent", ""))
    if trace and trace[1] != _NO_TRACE:
        told["trace_id"] = trace[1]
    _CURRENT.set(told)


def _end(response: Response) -> Response:
    request_id = getattr(g, "request_id", "")
    response.headers["X-Request-ID"] = request_id
    told = {
        "method": request.method,
        # The path alone: a query may hold what does not belong in a log.
        "path": request.path[:200],
        "status": response.status_code,
        # What is sent part by part must not be counted: it would be made whole for that.
        "bytes": 0 if response.is_streamed else response.calculate_content_length() or 0,
        "ms": round(1000.0 * (time.perf_counter() - getattr(g, "began", time.perf_counter())), 2),
    }
    for name in ("problem", "key_id"):
        if getattr(g, name, None):
            told[name] = getattr(g, name)
    _ACCESS.info("answered", extra=told)
    return response
