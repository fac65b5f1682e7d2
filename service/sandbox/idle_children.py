"""Children that have done a task and wait for the next one."""

from __future__ import annotations

import contextlib
import threading
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Any

#: Seconds in which a killed child ends, except on a very busy machine.
_END_S = 5.0


@dataclass(eq=False)
class Child:
    """A child process.

    Args:
        process: of a multiprocessing context.
        connection: to it.
        niceness: its own, above its parent's.
        is_used: whether it has done a task.
    """

    process: Any
    connection: Connection
    niceness: int
    is_used: bool = False

    def exit_code(self) -> int | None:
        """Wait for its end, which is near, and return its exit code."""
        self.process.join(_END_S)
        code: int | None = self.process.exitcode
        return code

    def end(self) -> None:
        """End it, if it has not ended."""
        if self.process.is_alive():
            self.process.kill()
        self.process.join(_END_S)
        # On a busy machine it may end later.
        with contextlib.suppress(ValueError):
            self.process.close()
        self.connection.close()


class IdleChildren:
    """Keeps the children of this process that wait, the last one used on top.

    There are never more children, with those at work, than ever worked at once: the sum of their
    limits on memory stays within the container's.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._waiting: list[Child] = []

    def take(self, niceness: int) -> Child | None:
        """Return a child of a niceness; without one, end another, whose place a new one takes."""
        with self._lock:
            of_it = [each for each in self._waiting if each.niceness == niceness]
            # The other that has waited longest.
            candidates = of_it or self._waiting[:1]
            if not candidates:
                return None
            found = candidates[-1]
            self._waiting.remove(found)
        if of_it and found.process.is_alive():
            return found
        found.end()
        return None

    def keep(self, child: Child) -> None:
        """Keep a child for the next task."""
        child.is_used = True
        with self._lock:
            self._waiting.append(child)

    def end(self) -> None:
        """End all that wait."""
        with self._lock:
            waiting, self._waiting = self._waiting, []
        for child in waiting:
            child.end()

    def forget(self) -> None:
        """Forget all of them, in a process that was forked: they are its parent's."""
        self._lock = threading.Lock()
        self._waiting = []
