"""The socket of a connection: never waits for incoming bytes, limits waits for a slow reader."""

from __future__ import annotations

import contextlib
import errno
import os
import socket
import time

#: How long a client may read nothing of an answer, and the minimum rate over the whole answer.
WRITE_S = 30.0
_MIN_BYTES_PER_S = 4096
#: Bytes passed to the system at once.
_STEP = 1 << 18


class TimedSocket(socket.socket):
    """A socket whose "blocking" mode waits for writes only, each up to a limit.

    The server reads a request in its event loop before a thread sees it, so a thread that asks for
    more would wait for bytes that never come.
    """

    @classmethod
    def of(cls, accepted: socket.socket) -> TimedSocket:
        """Convert an accepted connection."""
        made = cls(accepted.family, accepted.type, accepted.proto, fileno=accepted.detach())
        made.settimeout(0)
        with contextlib.suppress(OSError):
            # As on gunicorn's listeners: no delay to join small packets.
            made.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return made

    def setblocking(self, flag: bool) -> None:  # noqa: FBT001 - the standard library's
        """Wait for writes up to the limit, or not at all."""
        self.settimeout(WRITE_S if flag else 0)

    def recv(self, bufsize: int, flags: int = 0) -> bytes:
        """Return bytes that have arrived.

        Raises:
            ConnectionResetError: when none have arrived, in the "blocking" mode.
        """
        if self.gettimeout() == 0:
            return super().recv(bufsize, flags)
        try:
            # The descriptor itself never blocks, because a timeout is set.
            return os.read(self.fileno(), bufsize)
        except BlockingIOError:
            raise ConnectionResetError(errno.ECONNRESET, "the request is not whole") from None

    def sendall(self, data: bytes, flags: int = 0) -> None:  # type: ignore[override]
        """Send everything.

        Raises:
            TimeoutError: when the client reads nothing for too long, or reads too slowly.
        """
        if self.gettimeout() == 0:
            super().sendall(data, flags)
            return
        view = memoryview(data)
        end = time.monotonic() + WRITE_S + len(view) / _MIN_BYTES_PER_S
        while view:
            view = view[self.send(view[:_STEP], flags) :]
            if view and time.monotonic() > end:
                raise TimeoutError(errno.ETIMEDOUT, "the client reads too slowly")
