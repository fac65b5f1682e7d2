"""Which hosts may be called now: a slow or dead one holds up no callback to another."""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Callable

from service.storage.job_states import HeldJob

#: An attempt that takes longer than this, s, makes its host a slow one.
SLOW_S = 2.0


class HostTurns:
    """The attempts that run in this process, by host.

    A host is quick once it has answered quickly, and slow once it has not answered, or slowly. A
    quick one may be called by all threads but one. Any other is called by one at a time, and slow
    ones together by half of the threads.

    Args:
        threads: that call.
    """

    def __init__(self, threads: int) -> None:
        self._threads = threads
        self._lock = threading.Lock()
        self._running: Counter[str] = Counter()
        self._is_quick: dict[str, bool] = {}

    def claim(self, claim: Callable[[frozenset[str]], HeldJob | None]) -> HeldJob | None:
        """Return what ``claim`` returns for the hosts that are not called now."""
        with self._lock:
            work = claim(self._closed())
            if work is not None:
                self._running[work.host] += 1
        return work

    def ended(self, host: str, *, is_quick: bool) -> None:
        """Note the end of an attempt, and whether the host answered quickly."""
        with self._lock:
            self._is_quick[host] = is_quick
            self._running[host] -= 1
            if not self._running[host]:
                del self._running[host]

    def _closed(self) -> frozenset[str]:
        slow = {host for host, is_quick in self._is_quick.items() if not is_quick}
        most = max(1, self._threads - 1)
        closed = {
            host
            for host, count in self._running.items()
            if count >= (most if self._is_quick.get(host) else 1)
        }
        if sum(self._running[host] for host in slow) >= max(1, self._threads // 2):
            closed |= slow
        return frozenset(closed)
