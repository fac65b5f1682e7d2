"""Logs as JSON lines with request ids, without secrets."""

from __future__ import annotations

import contextlib
import contextvars
import logging
import os
import re
import sys
import time
import traceback
from collections import deque
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
#: Random bytes of an id, as a random UUID has; ids that are drawn at once, and those that are left.
_ID_BYTES, _IDS_AT_ONCE = 16, 256
_IDS: deque[str] = deque()
# A process that is forked draws its own.
os.register_at_fork(after_in_child=_IDS.clear)
_ACCESS = logging.getLogger("service.access")
_USUAL = frozenset(vars(logging.makeLogRecord({}))) | {"message", "asctime", "taskName"}


class JsonFormatter(logging.Formatter):
    """Formats each record as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line of a record."""
        members: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": record.getMessage(),
            **(_CURRENT.get() or {}),
            **{key: value for key, value in vars(record).items() if key not in _USUAL},
        }
        if record.exc_info and record.exc_info[1] is not None:
            members["error"] = "".join(traceback.format_exception(record.exc_info[1]))
        return orjson.dumps(members, default=str).decode()


def set_up(level: str) -> None:
    """Write all logs of this process to standard error as JSON lines."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonFormatter())
    root = logging.getLogger()
    root.handlers[:] = [handler]
    # Routine messages of libraries stay out of this log.
    root.setLevel(max(logging.WARNING, logging.getLevelName(level)))
    for own in ("service", "adapters", "geometry", "gunicorn"):
        logging.getLogger(own).setLevel(level)


def register(app: Flask) -> None:
    """Give every request an id, and write a log line for every answer."""
    app.before_request(_begin)
    app.after_request(_end)


@contextlib.contextmanager
def about(**members: str) -> Iterator[None]:
    """Add fields to every log line until the block ends."""
    token = _CURRENT.set(dict(members))
    try:
        yield
    finally:
        _CURRENT.reset(token)


def new_request_id() -> str:
    """Return an id that no other request has, in any process."""
    try:
        return _IDS.pop()
    except IndexError:
        # One call to the system for many ids: each hands the interpreter's lock to another thread.
        drawn = os.urandom(_ID_BYTES * _IDS_AT_ONCE).hex()
        width = 2 * _ID_BYTES
        _IDS.extend(drawn[at : at + width] for at in range(width, len(drawn), width))
        return drawn[:width]


def _begin() -> None:
    stated = request.headers.get("X-Request-ID", "")
    g.request_id = stated if _ID.fullmatch(stated) else new_request_id()
    g.began = time.perf_counter()
    members = {"request_id": g.request_id}
    trace = _TRACE.fullmatch(request.headers.get("traceparent", ""))
    if trace and trace[1] != _NO_TRACE:
        members["trace_id"] = trace[1]
    _CURRENT.set(members)


def _end(response: Response) -> Response:
    request_id = getattr(g, "request_id", "")
    response.headers["X-Request-ID"] = request_id
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
