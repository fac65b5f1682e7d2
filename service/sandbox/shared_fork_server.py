"""One process that children are forked from, for several processes that were forked after it.

Only the process that started it can wait for its end, and ``multiprocessing`` would try to do so in
the others. They look at a descriptor instead, and start one of their own once it has ended.
"""

from __future__ import annotations

import contextlib
import os
import select
from multiprocessing import resource_tracker
from typing import Any


class SharedForkServer:
    """The fork server of the process that this one was forked from.

    Args:
        server: the interpreter's own, which this process has just started.
    """

    def __init__(self, server: Any) -> None:  # noqa: ANN401 - the interpreter's own
        self._server = server
        self._starter = os.getpid()
        self._is_dropped = False
        self._process = os.pidfd_open(server._forkserver_pid)  # noqa: SLF001 - see fork_server

    @staticmethod
    def is_possible() -> bool:
        """Return whether this system tells other processes when one has ended."""
        with contextlib.suppress(AttributeError, OSError):
            os.close(os.pidfd_open(os.getpid()))
            return True
        return False

    def use(self) -> bool:
        """Use it in this process from now on, until it ends; return whether it is running.

        The process that started it needs nothing else than the interpreter's own.
        """
        if os.getpid() == self._starter or self._is_dropped:
            return False
        if not self._is_running():
            self._drop()
            return False
        # Called before each child is started.
        self._server.ensure_running = self._ensure_running
        return True

    def _ensure_running(self) -> None:
        """Make sure that a fork server is running: this one, or else one of this process's own."""
        if self._is_running():
            resource_tracker.ensure_running()
            return
        self._drop()
        self._server.ensure_running()

    def _is_running(self) -> bool:
        look = select.poll()
        look.register(self._process, select.POLLIN)
        return not look.poll(0)

    def _drop(self) -> None:
        """Let the interpreter start another one in this process; threads may do so at once."""
        server = self._server
        with server._lock:  # noqa: SLF001 - as above
            if self._is_dropped:
                return
            self._is_dropped = True
            vars(server).pop("ensure_running", None)
            os.close(server._forkserver_alive_fd)  # noqa: SLF001
            server._forkserver_address = server._forkserver_alive_fd = None  # noqa: SLF001
            server._forkserver_pid = None  # noqa: SLF001
