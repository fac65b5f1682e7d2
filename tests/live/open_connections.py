"""Connections of clients that send something and then no more."""

from __future__ import annotations

import contextlib
import socket
from collections.abc import Iterator, Sequence


@contextlib.contextmanager
def open_connections(port: int, sent: Sequence[bytes]) -> Iterator[list[socket.socket]]:
    """Open a connection for each text and send it; close them at last."""
    with contextlib.ExitStack() as stack:
        opened = []
        for each in sent:
            one = stack.enter_context(socket.create_connection(("127.0.0.1", port), timeout=300))
            one.sendall(each)
            opened.append(one)
        yield opened
