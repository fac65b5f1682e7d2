"""A worker that leaves connections to the process that has fewer, for a moment."""

from __future__ import annotations

import time
from typing import Any

from service.serving.shared_counts import ConnectionCounts
from service.serving.thrifty_worker import ThriftyWorker

#: How long a connection is left to a process that has fewer, and how many are then taken all the
#: same, within a time: the other one may be busy. So 100 in a second are taken even if it hangs.
_GIVE_WAY_S, _MAX_AFTER, _AFTER_S = 0.01, 1, 0.05


class SharingWorker(ThriftyWorker):
    """Takes the next connection only if no other process has fewer, or after a moment."""

    #: Set by the server before workers are forked.
    counts: ConnectionCounts | None = None

    def __init__(self, *given: Any, **named: Any) -> None:  # noqa: ANN401 - gunicorn's own
        #: This process's place among the counts; set before it is forked.
        self.place: int | None = None
        super().__init__(*given, **named)
        self._resume_at = 0.0
        self._may_take = 0

    @property
    def nr_conns(self) -> int:
        """Return the number of open connections."""
        return self._connections

    @nr_conns.setter
    def nr_conns(self, count: int) -> None:
        """Set it, and tell the other processes."""
        self._connections = count
        if self.counts is not None and self.place is not None:
            self.counts.publish(self.place, count)

    def run(self) -> None:
        """Take connections and answer them until the process is stopped."""
        # From now on it takes connections, and the others may leave some to it.
        self.nr_conns = 0
        super().run()

    def set_accept_enabled(self, enabled: bool) -> None:  # noqa: FBT001 - gunicorn's own
        """Take connections or not; none while they are left to another process."""
        super().set_accept_enabled(enabled and time.monotonic() >= self._resume_at)

    def wait_for_and_dispatch_events(self, timeout: float) -> None:
        """Wait for events, no longer than connections are left to another process."""
        if self._accepting or not self.alive:
            super().wait_for_and_dispatch_events(timeout)
            return
        left = self._resume_at - time.monotonic()
        super().wait_for_and_dispatch_events(min(timeout, left) if left > 0.0 else timeout)

    def gives_way(self) -> bool:
        """Return whether the next connection is left to a process that has fewer."""
        if self.counts is None or self.place is None:
            return False
        if not self.counts.another_has_fewer(self.place):
            return False
        now = time.monotonic()
        if self._may_take and now - self._resume_at < _AFTER_S:
            self._may_take -= 1
            return False
        self._resume_at, self._may_take = now + _GIVE_WAY_S, _MAX_AFTER
        self.set_accept_enabled(enabled=False)
        return True

    def stop_sharing(self) -> None:
        """Have no other process leave connections to this one, because it is stopping."""
        if self.counts is not None and self.place is not None:
            self.counts.close(self.place)
            self.place = None
