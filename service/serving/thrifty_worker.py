"""A gunicorn worker that makes few calls to the system.

Each call to the system hands the interpreter's lock to another thread, and the caller waits to get
it back. So connections stay registered while they are answered, one byte wakes the event loop for
many answers, and the heartbeat is written once a second.
"""

from __future__ import annotations

import contextlib
import selectors
import time
from collections.abc import Callable
from functools import partial
from typing import Any

from gunicorn.workers.gthread import ThreadWorker

from service.sandbox.concurrency import ActiveRequests
from service.serving.callback_queue import CallbackQueue

#: Seconds between two heartbeats.
_HEARTBEAT_S = 1.0


class ThriftyWorker(ThreadWorker):  # type: ignore[misc] # gunicorn has no types
    """Wakes a thread for a request only once it may be worked on, and watches connections."""

    def __init__(self, *given: Any, **named: Any) -> None:  # noqa: ANN401 - gunicorn's own
        super().__init__(*given, **named)
        self._notified = 0.0
        self.method_queue = CallbackQueue()

    @property
    def active(self) -> ActiveRequests:
        """Return what limits the requests that are worked on."""
        return self.wsgi.extensions["quarterseam-active"]  # type: ignore[no-any-return]

    def notify(self) -> None:
        """Write the heartbeat that the server's first process looks for."""
        now = time.monotonic()
        if now - self._notified >= _HEARTBEAT_S:
            self._notified = now
            super().notify()

    def enqueue_req(self, conn: Any) -> None:  # noqa: ANN401 - gunicorn has no types
        """Give a request to a thread as soon as it may be worked on; until then none wakes."""
        self.active.admit(partial(self._start, conn))

    def _start(self, conn: Any) -> None:  # noqa: ANN401 - as above
        # A process that has ended its threads is about to end itself.
        with contextlib.suppress(RuntimeError):
            super().enqueue_req(conn)

    def _watch(self, conn: Any, readable: Callable[[Any, Any], None]) -> None:  # noqa: ANN401
        """Call a function with the connection and its socket when bytes arrive."""
        call = partial(readable, conn)
        if conn.is_watched:
            # The events stay as they are, so the system is not called.
            self.poller.modify(conn.sock, selectors.EVENT_READ, call)
            return
        try:
            self.poller.register(conn.sock, selectors.EVENT_READ, call)
        except KeyError:
            # A thread closed a connection after an error, and the descriptor was given out again.
            self.poller.unregister(conn.sock.fileno())
            self.poller.register(conn.sock, selectors.EVENT_READ, call)
        conn.is_watched = True

    def _leave_unread(self, conn: Any, _: object) -> None:  # noqa: ANN401 - as above
        """Leave bytes of a connection unread while a request of it is being answered."""
        # The answer may have ended in this pass of the loop; then the next one reads them.
        if conn.in_progress:
            self._unwatch(conn)

    def _unwatch(self, conn: Any) -> None:  # noqa: ANN401 - as above
        if conn.is_watched:
            conn.is_watched = False
            with contextlib.suppress(OSError, KeyError, ValueError):
                self.poller.unregister(conn.sock)
