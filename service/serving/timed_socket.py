"""The socket of a connection: never waits for incoming bytes, limits waits for a slow reader."""

from __future__ import annotations

import contextlib
import errno
import select
import socket
import time
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer as Buffer

#: How long a client may read nothing of an answer, and the minimum rate over the whole answer.
WRITE_S = 30.0
_MIN_BYTES_PER_S = 4096
#: Bytes passed to the system at once.
_STEP = 1 << 18
#: A longer answer is not copied to be sent together with its headers.
_JOINED = 1 << 16


class TimedSocket(socket.socket):
    """A socket whose "blocking" mode waits for writes only, each up to a limit.

    The server reads a request in its event loop before a thread sees it, so a thread that asks for
    more would wait for bytes that never come. The descriptor itself never blocks, in either mode:
    a timeout of the standard library's would ask the system before every call whether it may, and
    each such question hands the interpreter's lock to another thread.
    """

    #: How long a write waits, s.
    _wait_s = 0.0
    #: Bytes that are sent with the next ones; ``None`` when the next ones are sent at once.
    _held: bytes | None = None

    @classmethod
    def of(cls, accepted: socket.socket) -> TimedSocket:
        """Convert an accepted connection."""
        made = cls(accepted.family, accepted.type, accepted.proto, fileno=accepted.detach())
        super().settimeout(made, 0)
        with contextlib.suppress(OSError):
            # As on gunicorn's listeners: no delay to join small packets.
            made.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return made

    def setblocking(self, flag: bool) -> None:  # noqa: FBT001 - the standard library's
        """Wait for writes up to the limit, or not at all."""
        self._wait_s = WRITE_S if flag else 0.0

    def settimeout(self, value: float | None) -> None:
        """Wait for each write that long, s, or up to the limit."""
        self._wait_s = WRITE_S if value is None else value

    def gettimeout(self) -> float:
        """Return how long a write waits, s."""
        return self._wait_s

    def recv(self, bufsize: int, flags: int = 0) -> bytes:
        """Return bytes that have arrived.

        Raises:
            ConnectionResetError: when none have arrived, in the "blocking" mode.
            BlockingIOError: the same in the other mode.
        """
        try:
            return super().recv(bufsize, flags)
        except BlockingIOError:
            if not self._wait_s:
                raise
            raise ConnectionResetError(errno.ECONNRESET, "the request is not whole") from None

    def hold(self) -> None:
        """Keep the next bytes back, an answer's headers, to send them together with its body.

        One call to the system instead of two: each hands the interpreter's lock to another thread,
        and the client would read twice.
        """
        self._held = b""

    def flush(self) -> None:
        """Send what is held back."""
        held, self._held = self._held, None
        if held:
            self.sendall(held)

    def sendfile(self, file: IO[bytes], offset: int = 0, count: int | None = None) -> int:  # type: ignore[override]
        """Send a file, after what is held back."""
        self.flush()
        return super().sendfile(file, offset, count)

    def send(self, data: Buffer, flags: int = 0) -> int:
        """Send what the system takes at once; return how many bytes that is.

        Raises:
            TimeoutError: when the client reads nothing for too long, in the "blocking" mode.
            BlockingIOError: when the system takes nothing, in the other mode.
        """
        while True:
            try:
                return super().send(data, flags)
            except BlockingIOError:
                if not self._wait_s:
                    raise
            ready = select.poll()
            ready.register(self, select.POLLOUT)
            if not ready.poll(1e3 * self._wait_s):
                raise TimeoutError(errno.ETIMEDOUT, "the client does not read")

    def sendall(self, data: Buffer, flags: int = 0) -> None:
        """Send everything.

        Raises:
            TimeoutError: when the client reads nothing for too long, or reads too slowly.
        """
        if self._held is not None:
            if not self._held:
                self._held = bytes(data)
                return
            held, self._held = self._held, None
            rest = bytes(data)
            if len(held) + len(rest) <= _JOINED:
                data = held + rest
            else:
                self.sendall(held, flags)
        if not self._wait_s:
            super().sendall(data, flags)
            return
        view = memoryview(data).cast("B")
        end = time.monotonic() + WRITE_S + len(view) / _MIN_BYTES_PER_S
        while view:
            view = view[self.send(view[:_STEP], flags) :]
            if view and time.monotonic() > end:
                raise TimeoutError(errno.ETIMEDOUT, "the client reads too slowly")
