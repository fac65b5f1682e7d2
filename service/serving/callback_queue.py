"""Passes the ends of requests from threads to the event loop, with one wake-up for many of them."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable
from functools import partial
from typing import Any

from gunicorn.workers.gthread import PollableMethodQueue

_STEP = 1 << 10


class CallbackQueue(PollableMethodQueue):  # type: ignore[misc] # gunicorn has no types
    """gunicorn's queue, which writes to its pipe only when the loop has not been woken yet."""

    def __init__(self) -> None:
        super().__init__()
        self._is_woken = False

    def defer(self, callback: Callable[..., object], *args: Any) -> None:  # noqa: ANN401 - its own
        """Call a function in the event loop."""
        self._queue.put(partial(callback, *args))
        # The loop looks into the queue after it clears the flag, so nothing is left in it.
        if self._is_woken:
            return
        self._is_woken = True
        # Where the pipe is full, the loop will be woken.
        with contextlib.suppress(BlockingIOError):
            os.write(self._write_fd, b"\0")

    def run_callbacks(self, _fileobj: object, max_callbacks: int = _STEP) -> None:
        """Call what was in the queue when the loop was woken; called in the loop."""
        try:
            os.read(self._read_fd, max_callbacks)
        except BlockingIOError:
            return
        self._is_woken = False
        for _ in range(self._queue.qsize()):
            self._queue.get_nowait()()
