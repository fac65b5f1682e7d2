"""Starts the process that children are forked from, by forking a process that has everything.

``multiprocessing`` would start a new interpreter for it, which has to import the whole service
again. A process that has all modules and no second thread yet can be forked instead, as long as
nothing of its own is left in the copy: files, sockets, signal handlers.

Processes that are forked after it use it too (``shared_fork_server``).
"""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import threading
from collections.abc import Callable, Iterable
from multiprocessing import connection, forkserver, resource_tracker
from pathlib import Path
from typing import Any

from service.sandbox.shared_fork_server import SharedForkServer

#: What this module sets for an interpreter's own fork server. Where one is built otherwise, it is
#: started by the interpreter, which takes longer.
_PARTS = ("_forkserver_address", "_forkserver_alive_fd", "_forkserver_pid", "_lock")
#: Fork servers that expect a secret cannot be started from here.
_SECRET = "_forkserver_authkey"  # noqa: S105 - the name of an attribute
#: The one that this process started for those that it forks later.
_SHARED: list[SharedForkServer] = []

Prepare = Callable[[], None]


def fork_early(prepare: Prepare) -> None:
    """Fork the process that children of this process, and of those forked later, are forked from.

    Nothing happens where that is not possible; each of them then starts its own.

    Args:
        prepare: what that process does first, while this one goes on. Children are forked
            afterwards; who asks for one earlier waits.
    """
    server: Any = forkserver._forkserver  # noqa: SLF001 - see _PARTS
    if not _can_fork(server) or not SharedForkServer.is_possible():
        return
    with server._lock:  # noqa: SLF001
        if server._forkserver_pid is None:  # noqa: SLF001
            _fork(server, prepare)
            _SHARED[:] = [SharedForkServer(server)]


def fork_from_here(prepare: Prepare | None = None) -> None:
    """Fork the process that children are forked from; it can be replaced if it ends.

    One that was forked before this process, and is still running, is used instead. It is left to
    the interpreter where one is running, where there are several threads, whose locks a fork would
    copy, or where the interpreter's is built otherwise.

    Args:
        prepare: what that process does before children are forked from it.
    """
    server: Any = forkserver._forkserver  # noqa: SLF001 - see _PARTS
    if _SHARED and _SHARED[0].use():
        return
    if not _can_fork(server):
        server.ensure_running()
        return
    with server._lock:  # noqa: SLF001
        if server._forkserver_pid is None:  # noqa: SLF001
            _fork(server, prepare)


def ensure_running() -> None:
    """Make sure that the process that children are forked from is running."""
    server: Any = forkserver._forkserver  # noqa: SLF001 - see _PARTS
    server.ensure_running()


def _can_fork(server: Any) -> bool:  # noqa: ANN401 - the interpreter's own
    known = all(hasattr(server, part) for part in _PARTS) and not hasattr(server, _SECRET)
    return known and threading.active_count() == 1


def _fork(server: Any, prepare: Prepare | None) -> None:  # noqa: ANN401 - as above
    resource_tracker.ensure_running()
    with socket.socket(socket.AF_UNIX) as listener:
        address = connection.arbitrary_address("AF_UNIX")  # type: ignore[attr-defined]
        listener.bind(address)
        if address[0] not in ("\0", 0):
            os.chmod(address, 0o600)  # noqa: PTH101 - a socket's address
        listener.listen()
        alive, held = os.pipe()
        pid = os.fork()
        if not pid:
            _serve(listener.fileno(), alive, prepare)
        os.close(alive)
    server._forkserver_address = address  # noqa: SLF001
    server._forkserver_alive_fd = held  # noqa: SLF001
    server._forkserver_pid = pid  # noqa: SLF001


def _serve(listener: int, alive: int, prepare: Prepare | None) -> None:
    """Fork children until all processes that could ask for one have ended."""
    code = 1
    try:
        _let_go({0, 1, 2, listener, alive})
        if prepare is not None:
            prepare()
        with contextlib.suppress(SystemExit):
            forkserver.main(listener, alive, [])
        code = 0
    finally:
        # What the other process would do at its end is none of this one's business.
        os._exit(code)


def _let_go(needed: Iterable[int]) -> None:
    """Drop the files and signal handlers of the process that was forked.

    Each file is replaced rather than closed: the objects that own them are still there and would
    close their numbers again, whatever these stand for by then.
    """
    for number in signal.valid_signals():
        if callable(signal.getsignal(number)):
            signal.signal(number, signal.SIG_DFL)
    nothing = os.open(os.devnull, os.O_RDWR)
    for file in [int(each.name) for each in Path("/dev/fd").iterdir()]:
        # One of them was the list's own.
        with contextlib.suppress(OSError):
            if file not in needed and file != nothing:
                os.fstat(file)
                os.dup2(nothing, file, inheritable=False)
    os.close(nothing)
