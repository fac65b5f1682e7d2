"""The health check of the image: counted failures, and whose processes it may end."""

from __future__ import annotations

import http.server
import os
import signal
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.cli import healthy, main
from tests.live.postgres_alone import find_free_port


class _Answering(http.server.BaseHTTPRequestHandler):
    status = 200

    def do_GET(self) -> None:
        self.send_response(self.status)
        self.end_headers()

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture
def port() -> Iterator[int]:
    server = http.server.HTTPServer(("127.0.0.1", 0), _Answering)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield server.server_port
    server.shutdown()
    server.server_close()


@pytest.fixture
def ended(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[tuple[int, int]]:
    """Return what would be killed; the count of failures is kept in a folder of its own."""
    found: list[tuple[int, int]] = []
    monkeypatch.setattr(os, "kill", lambda *what: found.append(what))
    monkeypatch.setattr(tempfile, "gettempdir", lambda: str(tmp_path))
    return found


def _check(port: int, end_after: int = 3) -> int:
    return main(["healthy", "--port", str(port), "--timeout", "60", "--end-after", str(end_after)])


def test_only_a_row_of_failures_after_an_answer_ends_a_container(
    port: int, ended: list[tuple[int, int]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(healthy, "in_container", lambda: True)
    closed = find_free_port()
    # Before the first answer it may be updating its database.
    assert [_check(closed) for _ in range(5)] == [1] * 5
    assert ended == []
    assert _check(port) == 0
    assert [_check(closed), _check(closed), _check(port), _check(closed), _check(closed)] == [
        1, 1, 0, 1, 1,
    ]  # fmt: skip
    assert ended == []
    assert _check(closed) == 1
    assert ended == [(-1, signal.SIGKILL)]


def test_an_answer_that_is_an_error_is_none(
    port: int, ended: list[tuple[int, int]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(_Answering, "status", 500)
    assert _check(port) == 1
    assert ended == []


def test_without_the_option_or_out_of_a_container_nothing_is_ended(
    port: int, ended: list[tuple[int, int]], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert _check(port) == 0
    closed = find_free_port()
    monkeypatch.setattr(healthy, "in_container", lambda: False)
    assert [_check(closed) for _ in range(5)] == [1] * 5
    monkeypatch.setattr(healthy, "in_container", lambda: True)
    assert [_check(closed, 0) for _ in range(5)] == [1] * 5
    assert ended == []


def test_a_machine_s_own_process_1_is_no_container_s() -> None:
    if Path("/proc/1").stat().st_uid:
        pytest.skip("process 1 is not root's here: this is a container itself")
    assert not healthy.in_container()
