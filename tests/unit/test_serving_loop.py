"""The server's event loop: turns, wake-ups, answers in one piece, closed connections.

Expected values follow from the text of each function; there is no outside source for them.
"""

from __future__ import annotations

import os
import socket
import threading
from collections import deque
from pathlib import Path
from typing import Any

import pytest

from service.sandbox.concurrency import ActiveRequests
from service.serving.callback_queue import CallbackQueue
from service.serving.http_worker import BufferingWorker
from service.serving.timed_socket import TimedSocket


def test_requests_start_in_turn_and_no_more_than_may() -> None:
    active, started = ActiveRequests(2), []
    for number in range(5):
        active.admit(lambda number=number: started.append(number))  # type: ignore[misc]
    assert started == [0, 1]
    with active.admitted():
        pass
    assert started == [0, 1, 2]


def test_a_turn_ends_when_the_answer_begins_and_is_given_up_once() -> None:
    active, started = ActiveRequests(1), []
    for number in range(3):
        active.admit(lambda number=number: started.append(number))  # type: ignore[misc]
    with active.admitted():
        with active.active():
            assert started == [0]
        # What is left is to send the answer, at the client's pace.
        assert started == [0, 1]
    assert started == [0, 1]


def test_one_that_waited_for_a_child_goes_on_before_those_that_begin() -> None:
    active, order = ActiveRequests(1), []

    def end() -> None:
        with active.admitted():
            pass

    active.admit(lambda: order.append("first"))
    active.admit(lambda: order.append("second"))
    with active.admitted():
        with active.paused():
            assert order == ["first", "second"]
            one = threading.Thread(target=end)
            one.start()
            one.join()
        active.admit(lambda: order.append("third"))
        assert order == ["first", "second"]
    assert order == ["first", "second", "third"]


def test_many_ends_wake_the_loop_once_and_none_is_left() -> None:
    queue = CallbackQueue()
    done: list[Any] = []
    queue.init()
    try:
        for number in range(200):
            queue.defer(done.append, number)
        queue.run_callbacks(None)
        assert done == list(range(200))
        # One wake-up was enough, and the next end wakes again.
        with pytest.raises(BlockingIOError):
            os.read(queue.fileno(), 1)
        queue.defer(done.append, 200)
        assert os.read(queue.fileno(), 10) == b"\0"
    finally:
        queue.close()


def test_an_end_during_the_loops_own_work_wakes_it_again() -> None:
    queue = CallbackQueue()
    done: list[Any] = []
    queue.init()
    try:
        queue.defer(queue.defer, done.append, "late")
        queue.run_callbacks(None)
        assert done == []
        queue.run_callbacks(None)
        assert done == ["late"]
    finally:
        queue.close()


@pytest.fixture(name="pair")
def _pair() -> Any:
    ours, theirs = socket.socketpair()
    made = TimedSocket.of(ours)
    made.settimeout(1.0)
    theirs.setblocking(False)
    with made, theirs:
        yield made, theirs


def test_headers_leave_with_the_body(pair: Any) -> None:
    ours, theirs = pair
    ours.hold()
    ours.sendall(b"HEAD ")
    with pytest.raises(BlockingIOError):
        theirs.recv(100)
    ours.sendall(b"BODY ")
    assert theirs.recv(100) == b"HEAD BODY "
    # What follows, such as the next event of a stream, is sent at once.
    ours.sendall(b"MORE")
    assert theirs.recv(100) == b"MORE"


def test_headers_without_a_body_leave_at_the_end(pair: Any) -> None:
    ours, theirs = pair
    ours.hold()
    ours.sendall(b"HEAD")
    ours.flush()
    assert theirs.recv(100) == b"HEAD"
    ours.flush()
    with pytest.raises(BlockingIOError):
        theirs.recv(100)


def test_headers_leave_before_a_file(pair: Any, tmp_path: Path) -> None:
    ours, theirs = pair
    path = tmp_path / "file"
    path.write_bytes(b"FILE")
    ours.hold()
    ours.sendall(b"HEAD ")
    with path.open("rb") as file:
        ours.sendfile(file)
    assert theirs.recv(100) == b"HEAD FILE"


def test_a_long_body_is_whole(pair: Any) -> None:
    ours, theirs = pair
    ours.hold()
    ours.sendall(b"HEAD ")
    body = b"x" * 100_000
    ours.sendall(body)
    received = b""
    while len(received) < 5 + len(body):
        received += theirs.recv(1 << 18)
    assert received == b"HEAD " + body


def test_a_connection_closed_in_the_same_pass_does_not_end_the_loop() -> None:
    """Room for a new connection is made by closing an idle one, whose bytes had arrived as well."""
    worker: Any = BufferingWorker.__new__(BufferingWorker)
    worker.keepalived_conns, worker._arriving, worker._lingering = deque(), {}, {}
    conn = object()
    worker.on_client_socket_readable(conn, None)
    worker._receive(conn, None)
    worker._discard(conn, None)
    assert not worker.keepalived_conns
    assert worker._arriving == worker._lingering == {}
