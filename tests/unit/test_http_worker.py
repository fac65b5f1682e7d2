"""The server's event loop on real connections, in a thread of the test.

Expected answers are those of RFC 9112 (persistence 9.3, pipelining 9.3.2, closing 9.6) and RFC 9110
(100 Continue, section 10.1.1; statuses 408 and 503).
"""

from __future__ import annotations

import os
import selectors
import socket
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from types import SimpleNamespace
from typing import Any

import pytest
from gunicorn.config import Config
from gunicorn.glogging import Logger
from gunicorn.workers import gthread

from service.sandbox.concurrency import ActiveRequests
from service.serving import http_worker
from service.serving.http_worker import BufferingWorker
from service.serving.incoming import ArrivalLimits

#: Far from anything that a busy machine needs.
FAR_S = 600.0
PATIENT = ArrivalLimits(
    max_line_bytes=4096,
    max_head_bytes=8192,
    max_body_bytes=1 << 20,
    head_s=FAR_S,
    body_s=FAR_S,
    min_body_bytes_per_s=1,
)
GET = b"GET /%s HTTP/1.1\r\nHost: loopback\r\n\r\n"
POST = b"POST / HTTP/1.1\r\nHost: loopback\r\nContent-Length: %d\r\n%s\r\n"


Later = Callable[[], None]


class Echo:
    """Answers with the path and the body of a request."""

    def __init__(self) -> None:
        self.extensions = {"quarterseam-active": ActiveRequests(2)}

    def __call__(self, environ: dict[str, Any], start: Callable[..., Any]) -> Iterable[bytes]:
        body = environ["PATH_INFO"].encode() + b" " + environ["wsgi.input"].read()
        start("200 OK", [("Content-Length", str(len(body)))])
        return [body]


class Loop:
    """A worker whose loop runs in a thread."""

    def __init__(self, limits: ArrivalLimits, connections: int) -> None:
        config = Config()
        config.set("threads", 2)
        config.set("worker_connections", connections)
        config.set("keepalive", int(FAR_S))
        config.set("graceful_timeout", int(FAR_S))
        config.set("loglevel", "critical")
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.address = self.listener.getsockname()
        self.worker = BufferingWorker(
            1, os.getppid(), [self.listener], None, FAR_S, config, Logger(config)
        )
        self.worker.limits = limits
        self.worker.wsgi = Echo()
        # What the process does at its start, but for signals.
        self.worker.tpool = self.worker.get_thread_pool()
        self.worker.poller = selectors.DefaultSelector()
        self.worker.method_queue.init()
        self.thread = threading.Thread(target=self.worker.run)
        self.thread.start()
        self.is_stopping = False

    def connect(self) -> socket.socket:
        return socket.create_connection(self.address, timeout=FAR_S)

    def stop(self) -> None:
        """Stop the loop as a signal would: between two steps of it, not beside them."""
        if not self.is_stopping:
            self.is_stopping = True
            self.worker.method_queue.defer(self.worker.handle_exit, 0, None)

    def end(self) -> None:
        self.stop()
        self.thread.join(FAR_S)
        assert not self.thread.is_alive()
        self.worker.tmp.close()


@pytest.fixture(name="start")
def _start() -> Iterator[Callable[..., Loop]]:
    loops: list[Loop] = []

    def start(limits: ArrivalLimits = PATIENT, connections: int = 100) -> Loop:
        loops.append(Loop(limits, connections))
        return loops[-1]

    yield start
    for loop in loops:
        loop.end()


@pytest.fixture(name="later")
def _later(monkeypatch: pytest.MonkeyPatch) -> Later:
    """Return a function that moves the loop's clock beyond every deadline."""
    passed_s = [0.0]
    clock = SimpleNamespace(monotonic=lambda: time.monotonic() + passed_s[0])
    monkeypatch.setattr(http_worker, "time", clock)

    def later() -> None:
        passed_s[0] = 2.0 * FAR_S

    return later


def until(is_so: Callable[[], bool]) -> None:
    """Wait until something is so, for a time far beyond what a busy machine needs."""
    end = time.monotonic() + FAR_S
    while not is_so():
        assert time.monotonic() < end
        time.sleep(0.01)


def answer(client: socket.socket) -> tuple[int, bytes]:
    """Return the status and the body of the next answer."""
    head = b""
    while not head.endswith(b"\r\n\r\n"):
        got = client.recv(1)
        assert got, head
        head += got
    lines = head.decode().split("\r\n")
    headers = dict(line.lower().split(": ", 1) for line in lines[1:] if line)
    length, body = int(headers.get("content-length", 0)), b""
    while len(body) < length:
        body += client.recv(length - len(body))
    return int(lines[0].split()[1]), body


def rest(client: socket.socket) -> bytes:
    """Return all bytes until the server closes."""
    found = b""
    while got := client.recv(1 << 16):
        found += got
    return found


def test_a_connection_is_kept_and_pipelined_requests_are_answered_in_order(start: Any) -> None:
    with start().connect() as client:
        client.sendall(GET % b"one")
        assert answer(client) == (200, b"/one ")
        client.sendall(GET % b"two" + GET % b"three")
        assert answer(client) == (200, b"/two ")
        assert answer(client) == (200, b"/three ")


def test_a_body_in_parts_is_permitted_and_read_whole(start: Any) -> None:
    with start().connect() as client:
        client.sendall(POST % (10, b"Expect: 100-continue\r\n"))
        assert answer(client) == (100, b"")
        client.sendall(b"half ")
        client.sendall(b"whole")
        # gunicorn may send the permission again; clients read any number (RFC 9110, section 15.2).
        while (got := answer(client)) == (100, b""):
            pass
        assert got == (200, b"/ half whole")


@pytest.mark.parametrize(("begun", "status"), [(b"GET / HT", b" 408 "), (b"", b"")])
def test_a_request_that_does_not_arrive_is_given_up(
    start: Any, later: Later, begun: bytes, status: bytes
) -> None:
    loop = start()
    with loop.connect() as client:
        client.sendall(begun)
        until(lambda: [bytes(each.buffer) for each in loop.worker._arriving.values()] == [begun])
        later()
        # A silent connection is closed without an answer.
        assert rest(client)[8:13] == status


def test_a_client_that_stops_in_mid_request_is_not_waited_for(start: Any) -> None:
    with start().connect() as client:
        client.sendall(b"GET / HTTP/1.1\r\nHo")
        client.shutdown(socket.SHUT_WR)
        rest(client)


def test_a_client_that_leaves_frees_its_connection(start: Any) -> None:
    loop = start(connections=4)
    for _ in range(12):
        with loop.connect() as client:
            client.sendall(GET % b"x")
            assert answer(client) == (200, b"/x ")
    loop.connect().close()


def test_the_longest_silent_connection_makes_room(start: Any) -> None:
    loop = start(connections=10)
    silent = [loop.connect() for _ in range(9)]
    with loop.connect() as client:
        client.sendall(GET % b"new")
        assert answer(client) == (200, b"/new ")
        assert silent[0].recv(1) == b""
    for each in silent[1:]:
        each.sendall(GET % b"old")
        assert answer(each) == (200, b"/old ")
        each.close()
    silent[0].close()


def test_of_too_many_bytes_the_largest_request_is_given_up(
    start: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(http_worker, "MAX_BUFFERED_BYTES", 5000)
    loop = start()
    with loop.connect() as small, loop.connect() as large:
        small.sendall(POST % (200, b""))
        large.sendall(POST % (6000, b"") + b"x" * 5500)
        assert answer(large)[0] == 503
        small.sendall(b"y" * 200)
        assert answer(small) == (200, b"/ " + b"y" * 200)


def test_a_closed_connection_reads_on_so_that_the_answer_arrives(
    start: Any, later: Later, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(http_worker, "_LINGER_S", FAR_S)
    loop = start()
    with loop.connect() as client:
        client.sendall(b"GET /last HTTP/1.1\r\nHost: loopback\r\nConnection: close\r\n\r\n")
        assert answer(client) == (200, b"/last ")
        client.sendall(b"more")
        assert client.recv(1) == b""
        assert loop.worker.nr_conns == 1
        # The client may see the end before the loop has noted how long it reads on.
        until(lambda: bool(loop.worker._lingering))
        later()
        until(lambda: loop.worker.nr_conns == 0)


@pytest.mark.parametrize(("linger_s", "is_answered"), [(FAR_S, True), (0.0, False)])
def test_a_loop_that_stops_waits_for_what_has_begun_but_not_for_long(
    start: Any, monkeypatch: pytest.MonkeyPatch, linger_s: float, *, is_answered: bool
) -> None:
    monkeypatch.setattr(gthread, "STOP_KEEPALIVE_LINGER", linger_s)
    loop = start()
    with loop.connect() as client:
        client.sendall(POST % (4, b"") + b"be")
        until(lambda: loop.worker._buffered > 0)
        loop.stop()
        if is_answered:
            client.sendall(b"gu")
            assert answer(client) == (200, b"/ begu")
        else:
            assert answer(client)[0] == 408


def test_a_loop_that_stops_closes_idle_connections(
    start: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(gthread, "STOP_KEEPALIVE_LINGER", 0.0)
    loop = start()
    with loop.connect() as idle:
        idle.sendall(GET % b"idle")
        assert answer(idle) == (200, b"/idle ")
        until(lambda: len(loop.worker.keepalived_conns) == 1)
        loop.stop()
        assert idle.recv(1) == b""
