"""The log of a process as JSON lines, each with the fields of the work that it belongs to."""

from __future__ import annotations

import logging
import sys
import traceback
from datetime import UTC, datetime
from typing import Any

import orjson

from service.tracing import log_fields

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
            **log_fields.current(),
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
