"""The message queue for jobs. It may lose messages; a sweep sends them again.

A message only names a job or a batch, as JSON: someone with write access to the queue can only make
workers look at existing jobs. (The library's own serializer would execute what it reads.)
"""

from __future__ import annotations

import json
import logging
import re
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from huey import Huey, PostgresHuey, RedisHuey, SqliteHuey
from huey.consumer import Consumer
from huey.registry import Message
from huey.serializer import Serializer

from service.settings import Settings
from service.storage.job_sweep import Delivery
from service.storage.permissions import make_file_private

_LOG = logging.getLogger(__name__)
_NAME = "quarterseam"
_KINDS = {"job", "batch"}
_ID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
#: How often the embedded queue is polled; the others wake waiting workers.
_POLL_S = 0.05
_LONGEST_POLL_S = 0.15
Handle = Callable[[Delivery], None]


class _Json(Serializer):  # type: ignore[misc] # huey has no types
    """Messages as JSON."""

    def _serialize(self, data: Any) -> bytes:  # noqa: ANN401 - huey's own
        value = list(data) if isinstance(data, Message) else {"value": data}
        return json.dumps(value).encode()

    def _deserialize(self, data: bytes) -> Any:  # noqa: ANN401 - huey's own
        value = json.loads(data)
        return Message(*value) if isinstance(value, list) else value["value"]


class _Consumer(Consumer):  # type: ignore[misc] # huey has no types
    """huey's consumer for a process that handles signals itself."""

    def _set_signal_handlers(self) -> None:
        """Install no signal handlers."""


class Queue:
    """Delivers messages.

    Args:
        settings: which queue.
        handle: called with each message; ``None`` for senders.

    Raises:
        Exception: the driver's own error when the queue cannot be reached.
    """

    def __init__(self, settings: Settings, handle: Handle | None = None) -> None:
        self._huey = _open(settings.queue_url)

        def deliver(kind: str, job_id: str, serial: int) -> None:
            if handle is not None and _is_sound(kind, job_id, serial):
                handle(Delivery(kind, job_id, serial))

        self._task = self._huey.task(name="deliver")(deliver)

    def deliver(self, message: Delivery) -> None:
        """Send a message.

        Raises:
            Exception: the driver's own error when the queue cannot be reached.
        """
        self._task(*message)

    def size(self) -> int:
        """Return the number of queued messages."""
        return int(self._huey.pending_count())

    def consumer(self, slots: int) -> Any:  # noqa: ANN401 - huey has no types
        """Return a consumer that passes messages to ``handle`` in this many threads."""
        return _Consumer(
            self._huey,
            workers=slots,
            periodic=False,
            initial_delay=_POLL_S,
            max_delay=_LONGEST_POLL_S,
            # Unused: we schedule nothing.
            scheduler_interval=60,
        )

    def close(self) -> None:
        """Close the connection."""
        self._huey.storage.close()


def _is_sound(kind: object, job_id: object, serial: object) -> bool:
    return (
        kind in _KINDS
        and isinstance(job_id, str)
        and _ID.fullmatch(job_id) is not None
        and isinstance(serial, int)
    )


def _open(url: str) -> Huey:
    common: dict[str, Any] = {"serializer": _Json(), "results": False}
    if url.startswith("sqlite"):
        # Survives a power cut; first in, first out; waits for locks of other processes.
        path = url.partition("///")[2]
        if path:
            make_file_private(Path(path))
        return SqliteHuey(_NAME, filename=path, fsync=True, strict_fifo=True, timeout=30, **common)
    if url.startswith("redis"):
        return RedisHuey(_NAME, url=url, **common)
    return PostgresHuey(_NAME, dsn=url, table_prefix="queue", **common)


class Sender:
    """Sends messages; opens the queue when first needed, and again after an error.

    Args:
        settings: which queue.
    """

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._queue: Queue | None = None
        self._lock = threading.Lock()

    def deliver(self, message: Delivery) -> bool:
        """Send a message; return whether it was sent. If not, a sweep sends it later."""
        try:
            self._opened().deliver(message)
        except Exception as error:  # noqa: BLE001 - the job is stored and is only delayed
            _LOG.warning("the queue could not be reached", extra={"cause": str(error)[:200]})
            with self._lock:
                self._queue = None
            return False
        return True

    def _opened(self) -> Queue:
        with self._lock:
            if self._queue is None:
                self._queue = Queue(self._settings)
            return self._queue
