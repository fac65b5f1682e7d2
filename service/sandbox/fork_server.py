"""Starts the process that children are forked from, by forking a process that has everything.

``multiprocessing`` would start a new interpreter for it, which has to import the whole service
again. A process that has all modules and no second thread yet can be forked instead, as long as
nothing of its own is left in the copy: files, sockets, signal handlers.
"""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import threading
from collections.abc import Iterable
from multiprocessing import connection, forkserver, resource_tracker
from pathlib import Path
from typing import Any

#: What this module sets for an interpreter's own fork server. Where one is built otherwise, it is
#: started by the interpreter, which takes longer.
_PARTS = ("_forkserver_address", "_forkserver_alive_fd", "_forkserver_pid", "_lock")
#: Fork servers that expect a secret cannot be started from here.
_SECRET = "_forkserver_authkey"  # noqa: S105 - the name of an attribute


def fork_from_here() -> None:
    """Fork the process that children are forked from; it can be replaced if it ends.

    It is left to the interpreter where one is running, where there are several threads, whose locks
    a fork would copy, or where the interpreter's is built otherwise.
    """
    server: Any = forkserver._forkserver  # noqa: SLF001 - see _PARTS
    known = all(hasattr(server, part) for part in _PARTS) and not hasattr(server, _SECRET)
    if not known or threading.active_count() > 1:
        forkserver.ensure_running()
        return
    with server._lock:  # noqa: SLF001
        if server._forkserver_pid is not None:  # noqa: SLF001
            return
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
                _serve(listener.fileno(), alive)
            os.close(alive)
        server._forkserver_address = address  # noqa: SLF001
        server._forkserver_alive_fd = held  # noqa: SLF001
        server._forkserver_pid = pid  # noqa: SLF001


def _serve(listener: int, alive: int) -> None:
    """Fork children until all processes that could ask for one have ended."""
    code = 1
    try:
        _let_go({0, 1, 2, listener, alive})
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
