"""The queue: brings messages that there is something to do. It may lose them; a sweep sends anew.

A message names a job or a batch and nothing else, as JSON: whoever can write to the queue can have
existing jobs looked at, and that is all. (The library's own serializer would run what it reads.)
"""

from __future__ import annotations

import json
import logging
import re
import threading
from collections.abc import Callable
from typing import Any

from huey import Huey, PostgresHuey, RedisHuey, SqliteHuey
from huey.consumer import Consumer
from huey.registry import Message
from huey.serializer import Serializer

from service.settings import Settings
from service.storage.job_sweep import Delivery

_LOG = logging.getLogger(__name__)
_NAME = "quarterseam"
_KINDS = {"job", "batch"}
_ID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
#: The embedded queue is asked this often; the others wake whoever waits.
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
    """huey's consumer as a part of a process that has signals of its own."""

    def _set_signal_handlers(self) -> None:
        """Leave signals alone."""


class Queue:
    """Delivers messages.

    Args:
        settings: which queue.
        handle: does what a message says; ``None`` for those who only send.

    Raises:
        Exception: whatever the queue's driver raises when it cannot be reached.
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
            Exception: whatever the queue's driver raises when it cannot be reached.
        """
        self._task(*message)

    def size(self) -> int:
        """Return how many messages wait."""
        return int(self._huey.pending_count())

    def consumer(self, slots: int) -> Any:  # noqa: ANN401 - huey has no types
        """Return what brings messages to ``handle``, so many at once, once it is started."""
        return _Consumer(
            self._huey,
            workers=slots,
            periodic=False,
            initial_delay=_POLL_S,
            max_delay=_LONGEST_POLL_S,
            # Nothing is ever scheduled.
            scheduler_interval=60,
        )

    def close(self) -> None:
        """Let go of the connection."""
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
        # Kept through a power cut, first in first out, patient with other processes.
        path = url.partition("///")[2]
        return SqliteHuey(_NAME, filename=path, fsync=True, strict_fifo=True, timeout=30, **common)
    if url.startswith("redis"):
        return RedisHuey(_NAME, url=url, **common)
    return PostgresHuey(_NAME, dsn=url, table_prefix="queue", **common)


class Sender:
    """Sends messages, opening the queue when first needed and again when it was gone.

    Args:
        settings: which queue.
    """

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._queue: Queue | None = None
        self._lock = threading.Lock()

    def deliver(self, message: Delivery) -> bool:
        """Send a message; returns whether it went. If not, a sweep will send it later."""
        try:
            self._opened().deliver(message)
        except Exception as error:  # noqa: BLE001 - the job is kept: lateness is all that comes of it
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
