"""Whether the queue answers, found out within a bounded time."""

from __future__ import annotations

import threading

from service.jobs.queue import Queue
from service.settings import Settings

#: How long the queue has to answer, s; a driver may wait for minutes for a host that is gone.
PATIENCE_S = 3.0


class QueueProbe:
    """Asks the queue for its size.

    Args:
        settings: which queue.
    """

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._lock = threading.Lock()
        self._running: threading.Thread | None = None
        self._queue: Queue | None = None
        self._size: int | None = None

    def size(self, patience_s: float = PATIENCE_S) -> int | None:
        """Return the number of messages that wait; ``None`` when the queue does not answer."""
        with self._lock:
            # One that still waits for an answer is all there is to know.
            if self._running is None or not self._running.is_alive():
                self._size = None
                self._running = threading.Thread(target=self._ask, name="queue", daemon=True)
                self._running.start()
            running = self._running
        running.join(patience_s)
        return None if running.is_alive() else self._size

    def _ask(self) -> None:
        try:
            if self._queue is None:
                self._queue = Queue(self._settings)
            self._size = self._queue.size()
        except Exception:  # noqa: BLE001 - the driver's own; a new connection is made next time
            self._queue = None
