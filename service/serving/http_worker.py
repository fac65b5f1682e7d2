"""A gunicorn worker that reads requests in its event loop instead of in threads.

gunicorn's own worker reads headers and bodies in its threads without a deadline, so as many
half-sent requests as there are threads block a process forever; it waits up to 5 s in a thread for
a connection that sends nothing, and up to 2 s in its event loop for one that does not close. Here
threads get complete requests only, and all waiting for clients happens in the loop, with deadlines.
Other servers were compared: openapi/SECURITY.md says why this one.
"""

from __future__ import annotations

import contextlib
import errno
import logging
import socket
import time
from typing import Any

from gunicorn import util
from gunicorn.workers.gthread import TConn

from service.serving.incoming import ArrivalLimits, IncomingRequest
from service.serving.sharing_worker import SharingWorker
from service.serving.timed_socket import WRITE_S, TimedSocket

#: Bytes of all requests that wait or are being answered in one process.
MAX_BUFFERED_BYTES = 64 << 20
#: Share of the connections above which the oldest idle one is closed.
_FULL = 0.9
_STEP = 1 << 16
#: How long a closed connection may keep sending, so that its client sees the answer, not a reset
#: (RFC 9112, section 9.6).
_LINGER_S = 2.0
#: How often deadlines are checked.
_LOOK_S = 0.5
_CONTINUE = b"HTTP/1.1 100 Continue\r\n\r\n"
_EXHAUSTED = {errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM}
_PASSING = {errno.EAGAIN, errno.EWOULDBLOCK, errno.ECONNABORTED, errno.EPERM, errno.EPROTO}
_LOG = logging.getLogger("service.connections")


class BufferingWorker(SharingWorker):
    """Reads each request completely, within deadlines, before it uses a thread."""

    #: Set by the server before workers are forked.
    limits: ArrivalLimits

    def __init__(self, *given: Any, **named: Any) -> None:  # noqa: ANN401 - gunicorn's own
        super().__init__(*given, **named)
        # Both in the order of their start.
        self._arriving: dict[Any, IncomingRequest] = {}
        self._lingering: dict[Any, float] = {}
        self._buffered = 0
        self._looked = 0.0

    def accept(self, listener: socket.socket) -> None:
        """Accept a connection and begin to read from it."""
        if self.gives_way():
            return
        try:
            accepted, address = listener.accept()
        except OSError as error:
            if error.errno in _EXHAUSTED:
                self._make_room()
            elif error.errno not in _PASSING:
                raise
            return
        self.nr_conns += 1
        if self.nr_conns > _FULL * self.worker_connections:
            self._make_room()
        conn = TConn(self.cfg, TimedSocket.of(accepted), address, listener.getsockname())
        conn.is_watched = conn.in_progress = False
        self._await(conn)
        self._receive(conn, conn.sock)

    def on_client_socket_readable(self, conn: Any, client: Any) -> None:  # noqa: ANN401
        """Read the next request of a kept connection."""
        try:
            self.keepalived_conns.remove(conn)
        except ValueError:
            # It was closed in this pass of the loop, to make room.
            return
        self._arriving[conn] = IncomingRequest(self.limits, time.monotonic())
        self._receive(conn, client)
        # Most requests arrive whole.
        if conn in self._arriving:
            self._watch(conn, self._receive)

    def handle(self, conn: Any) -> Any:  # noqa: ANN401 - as above
        """Answer a complete request; runs in a thread."""
        with self.active.admitted():
            conn.sock.settimeout(WRITE_S)
            conn.init()
            conn.parser.unreader.unread(bytes(conn.received))
            conn.received = b""
            conn.sock.hold()
            keep = super().handle(conn)
            conn.sock.flush()
            return keep

    def finish_request(self, conn: Any, fs: Any) -> None:  # noqa: ANN401 - as above
        """Keep the connection of an answered request, or close it."""
        self._buffered -= conn.buffered
        conn.buffered = 0
        conn.in_progress = False
        try:
            keep = not fs.cancelled() and fs.result() is True
            conn.sock.settimeout(0)
            more = conn.parser.unreader.take_buffered() if keep else b""
        except Exception:  # noqa: BLE001 - any error ends this connection only
            self._close(conn)
            return
        if not keep:
            self._linger(conn)
        elif more:
            # Bytes of the next request arrived together with the last one.
            self._await(conn)
            self._take(conn, more)
        else:
            conn.set_timeout()
            self.keepalived_conns.append(conn)
            if not self.alive:
                self._cap_keepalive(time.monotonic() + _LINGER_S)
            self._watch(conn, self.on_client_socket_readable)

    def murder_pending(self) -> None:
        """Close connections that are past their deadlines; called on every pass of the loop."""
        now = time.monotonic()
        if now - self._looked < _LOOK_S:
            return
        self._looked = now
        for conn, incoming in list(self._arriving.items()):
            if now > incoming.deadline:
                self._give_up(conn, 408, "Request Timeout", "The request did not arrive in time.")
        for conn, deadline in list(self._lingering.items()):
            if now > deadline:
                self._forget(conn)
                self._close(conn)

    def _cap_keepalive(self, deadline: float) -> None:
        """Cap the deadlines of all clients, because the server is stopping."""
        self.stop_sharing()
        super()._cap_keepalive(deadline)
        for incoming in self._arriving.values():
            incoming.cap_deadline(deadline if incoming.buffer else 0.0)
        self._looked = 0.0

    def _await(self, conn: Any) -> None:  # noqa: ANN401 - as above
        """Start reading a request."""
        self._arriving[conn] = IncomingRequest(self.limits, time.monotonic())
        self._watch(conn, self._receive)

    def _receive(self, conn: Any, sock: socket.socket) -> None:  # noqa: ANN401 - as above
        """Read the bytes that have arrived."""
        if conn not in self._arriving:
            # It was given up in this pass of the loop.
            return
        try:
            data = sock.recv(_STEP)
        except (BlockingIOError, InterruptedError):
            return
        except OSError:
            self._forget(conn)
            self._close(conn)
            return
        if data:
            self._take(conn, data)
        elif self._arriving[conn].buffer:
            # The client will send no more; the parser reports what is missing.
            self._hand_over(conn)
        else:
            self._forget(conn)
            self._close(conn)

    def _take(self, conn: Any, data: bytes) -> None:  # noqa: ANN401 - as above
        incoming = self._arriving[conn]
        self._buffered += len(data)
        if incoming.feed(data, time.monotonic()):
            self._hand_over(conn)
            return
        if incoming.awaits_continue:
            incoming.awaits_continue = False
            with contextlib.suppress(OSError):
                conn.sock.send(_CONTINUE)
        if self._buffered > MAX_BUFFERED_BYTES:
            largest = max(self._arriving, key=lambda each: len(self._arriving[each].buffer))
            self._give_up(largest, 503, "Service Unavailable", "Too many requests are arriving.")

    def _hand_over(self, conn: Any) -> None:  # noqa: ANN401 - as above
        """Give a request to a thread."""
        incoming = self._arriving.pop(conn)
        # It stays registered: clients seldom send before they are answered.
        conn.in_progress = True
        self._watch(conn, self._leave_unread)
        # Its bytes count until it is answered.
        conn.received, conn.buffered = incoming.buffer, len(incoming.buffer)
        conn.data_ready = True
        self.enqueue_req(conn)

    def _give_up(self, conn: Any, status: int, reason: str, detail: str) -> None:  # noqa: ANN401
        """Send an error for a request that did not arrive completely."""
        begun = bool(self._arriving[conn].buffer)
        self._forget(conn)
        if not begun:
            self._close(conn)
            return
        _LOG.info("gave up a request that did not arrive", extra={"status": status})
        with contextlib.suppress(OSError):
            util.write_error(conn.sock, status, reason, detail)
        self._linger(conn)

    def _make_room(self) -> None:
        """Close the least useful connection: closing ones first, then silent ones."""
        silent = (conn for conn, incoming in self._arriving.items() if not incoming.buffer)
        for found in (self._lingering, self.keepalived_conns, silent, self._arriving):
            conn = next(iter(found), None)
            if conn is not None:
                self._forget(conn)
                self._close(conn)
                return

    def _linger(self, conn: Any) -> None:  # noqa: ANN401 - as above
        """Close for writing and keep reading for a moment, so that the client sees the answer."""
        try:
            conn.sock.settimeout(0)
            conn.sock.shutdown(socket.SHUT_WR)
            self._watch(conn, self._discard)
        except (OSError, ValueError, KeyError):
            self._close(conn)
            return
        self._lingering[conn] = time.monotonic() + _LINGER_S

    def _discard(self, conn: Any, sock: socket.socket) -> None:  # noqa: ANN401 - as above
        if conn not in self._lingering:
            return
        try:
            data = sock.recv(_STEP)
        except (BlockingIOError, InterruptedError):
            return
        except OSError:
            data = b""
        if not data:
            self._forget(conn)
            self._close(conn)

    def _forget(self, conn: Any) -> None:  # noqa: ANN401 - as above
        """Stop waiting for a connection."""
        self._unwatch(conn)
        incoming = self._arriving.pop(conn, None)
        if incoming is not None:
            self._buffered -= len(incoming.buffer)
        self._lingering.pop(conn, None)
        with contextlib.suppress(ValueError):
            self.keepalived_conns.remove(conn)

    def _close(self, conn: Any) -> None:  # noqa: ANN401 - as above
        self._unwatch(conn)
        self.nr_conns -= 1
        conn.close()
