"""Lets only so many heavy computations in at once, and keeps a thread free for small requests."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from service.http.problems import ProblemError


class Gate:
    """Counts the heavy computations of one server process.

    Args:
        slots: how many run at once.
        places: how many run or wait at once; fewer than the server's threads.
        patience_s: how long one waits for a slot.
    """

    def __init__(self, slots: int, places: int, patience_s: float) -> None:
        self._slots = threading.Semaphore(slots)
        self._places = threading.Semaphore(max(1, places))
        self._patience_s = patience_s

    @contextmanager
    def entered(self) -> Iterator[None]:
        """Hold a slot.

        Raises:
            ProblemError: 503 ``busy`` when there is none in time.
        """
        if not self._places.acquire(blocking=False):
            raise _busy()
        try:
            if not self._slots.acquire(timeout=self._patience_s):
                raise _busy()
            try:
                yield
            finally:
                self._slots.release()
        finally:
            self._places.release()


def _busy() -> ProblemError:
    detail = "Other requests are being computed; try again in a few seconds."
    return ProblemError("busy", 503, detail, headers={"Retry-After": "5"})
