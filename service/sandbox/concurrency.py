"""Limits how many computations of one server process run and wait, in order of arrival."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from service.errors import BusyError


class _Waiter:
    """A computation that waits for its turn."""

    def __init__(self, *, modest: bool) -> None:
        self.modest = modest
        self.started = threading.Event()
        self.is_refused = False


class ConcurrencyLimiter:
    """Admits the computations that run in children.

    Modest computations wait for each other; of heavy ones few may wait, and one place to run is
    never theirs where there are several, so that modest ones go on beside them.

    Args:
        max_running: how many run at once.
        max_waiting: how many modest ones wait at once.
        max_waiting_heavy: how many heavy ones wait at once.
        timeout_s: how long one waits for its turn.
    """

    def __init__(
        self, max_running: int, max_waiting: int, max_waiting_heavy: int, timeout_s: float
    ) -> None:
        self._max_running = max_running
        self._max_running_heavy = max(1, max_running - 1)
        self._max_waiting = {True: max_waiting, False: max_waiting_heavy}
        self._timeout_s = timeout_s
        self._lock = threading.Lock()
        self._running = {True: 0, False: 0}
        self._waiting: deque[_Waiter] = deque()

    @contextmanager
    def running(self, *, modest: bool) -> Iterator[None]:
        """Wait for a place to run, and hold it.

        Raises:
            BusyError: when there is none in time, or too many wait already.
        """
        self._enter(modest=modest)
        try:
            yield
        finally:
            with self._lock:
                self._running[modest] -= 1
                self._start_next()

    @property
    def waiting(self) -> int:
        """Return how many wait for their turn."""
        return len(self._waiting)

    def close(self, within_s: float) -> None:
        """Refuse what still waits after a time: the process is about to end."""
        timer = threading.Timer(within_s, self._refuse_all)
        timer.daemon = True
        timer.start()

    def _enter(self, *, modest: bool) -> None:
        with self._lock:
            waiting = sum(each.modest == modest for each in self._waiting)
            one = _Waiter(modest=modest)
            self._waiting.append(one)
            self._start_next()
            if not one.started.is_set() and waiting >= self._max_waiting[modest]:
                self._waiting.remove(one)
                raise _busy()
        if one.started.wait(self._timeout_s) and not one.is_refused:
            return
        with self._lock:
            if one.started.is_set() and not one.is_refused:
                # Its turn came at the last moment.
                return
            if one in self._waiting:
                self._waiting.remove(one)
        raise _busy()

    def _start_next(self) -> None:
        """Start those that may run, oldest first; the caller holds the lock."""
        for one in list(self._waiting):
            if sum(self._running.values()) >= self._max_running:
                return
            if one.modest or self._running[False] < self._max_running_heavy:
                self._waiting.remove(one)
                self._running[one.modest] += 1
                one.started.set()

    def _refuse_all(self) -> None:
        with self._lock:
            for one in self._waiting:
                one.is_refused = True
                one.started.set()
            self._waiting.clear()
            self._max_waiting = {True: 0, False: 0}


class ActiveRequests:
    """Limits how many requests of one process are worked on at once; the others wait their turn.

    A request that waits for a computation is not worked on. So there can be many more threads than
    connections to the database, and short requests are not held up by those that wait.

    Args:
        max_active: how many at once.
    """

    def __init__(self, max_active: int) -> None:
        self._lock = threading.Lock()
        self._free = max_active
        #: What starts each request that waits.
        self._waiting: deque[Callable[[], object]] = deque()
        self._local = threading.local()

    def admit(self, start: Callable[[], object]) -> None:
        """Call a function when another request may be worked on: now, or when one leaves.

        So no thread has to wait for the turn. The thread that the function starts enters
        ``admitted``.
        """
        with self._lock:
            if not self._free:
                self._waiting.append(start)
                return
            self._free -= 1
        start()

    @contextmanager
    def admitted(self) -> Iterator[None]:
        """Hold the turn that was taken by ``admit``, until ``active`` ends or the block does."""
        self._local.is_active = True
        try:
            yield
        finally:
            self._leave()

    @contextmanager
    def active(self) -> Iterator[None]:
        """Hold a turn; wait for one unless this thread holds it already."""
        if not getattr(self._local, "is_active", False):
            self._acquire(first=False)
            self._local.is_active = True
        try:
            yield
        finally:
            self._leave()

    @contextmanager
    def paused(self) -> Iterator[None]:
        """Let another request work while this one waits; it goes on before those that begin."""
        if not getattr(self._local, "is_active", False):
            yield
            return
        self._release()
        try:
            yield
        finally:
            self._acquire(first=True)

    def _acquire(self, *, first: bool) -> None:
        with self._lock:
            if self._free:
                self._free -= 1
                return
            turn = threading.Event()
            if first:
                self._waiting.appendleft(turn.set)
            else:
                self._waiting.append(turn.set)
        turn.wait()

    def _leave(self) -> None:
        if self._local.is_active:
            self._local.is_active = False
            self._release()

    def _release(self) -> None:
        with self._lock:
            if not self._waiting:
                self._free += 1
                return
            start = self._waiting.popleft()
        start()


def _busy() -> BusyError:
    detail = "Other requests are being computed; try again in a few seconds."
    return BusyError(detail)
