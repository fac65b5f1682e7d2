"""The health check of the image: counted failures, and whose processes it may end."""

from __future__ import annotations

import http.server
import os
import signal
import subprocess
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.cli import healthy, main
from service.jobs.worker import Worker
from service.settings import Settings
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


def _look(heartbeat: Path, silence: float) -> int:
    words = ["--heartbeat-file", str(heartbeat), "--max-silence", str(silence)]
    return main(["healthy", *words, "--end-after", "2"])


def test_a_worker_that_no_longer_touches_its_file_is_ended(
    ended: list[tuple[int, int]], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(healthy, "in_container", lambda: True)
    heartbeat = tmp_path / "heartbeat"
    # Before the first sign of life it may be updating its database.
    assert [_look(heartbeat, 90.0) for _ in range(4)] == [1] * 4
    heartbeat.touch()
    now_s = heartbeat.stat().st_mtime
    monkeypatch.setattr("service.cli.healthy.time.time", lambda: now_s + 89.0)
    assert _look(heartbeat, 90.0) == 0
    monkeypatch.setattr("service.cli.healthy.time.time", lambda: now_s + 91.0)
    assert _look(heartbeat, 90.0) == 1
    assert ended == []
    assert _look(heartbeat, 90.0) == 1
    assert ended == [(-1, signal.SIGKILL)]


def test_a_worker_shows_that_it_lives_between_sweeps_that_are_far_apart(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("service.jobs.worker._ALIVE_S", 0.01)
    monkeypatch.setattr("service.jobs.worker.warm_up", lambda: None)
    monkeypatch.setattr("service.jobs.worker.wait_until_warm", lambda: None)
    signs: list[str] = []
    enough = threading.Event()

    def alive() -> None:
        # The store was opened and swept before.
        signs.append(threading.current_thread().name)
        if len(signs) == 3:
            enough.set()

    worker = Worker(Settings(data=tmp_path, job_sweep_seconds=3600), 1, alive)
    worker.start()
    assert enough.wait(600)
    worker.stop()
    worker.join()
    assert set(signs) == {"jobs"}


def _others(folder: Path, *command: str) -> int:
    """Run the check of containers of others; it never counts as far as to end anything."""
    script = Path(__file__).resolve().parents[2] / "docker" / "healthy.sh"
    environment = {"PATH": os.environ["PATH"], "HEALTH_FOLDER": str(folder)}
    return subprocess.run(
        ["sh", str(script), "1000", "1", *command], env=environment, check=False, timeout=600
    ).returncode


def test_what_hangs_is_counted_and_what_fails_at_once_is_not(tmp_path: Path) -> None:
    count = tmp_path / "failures"
    hangs = ("sleep", "600")
    assert _others(tmp_path, *hangs) == 1
    assert not count.exists()
    assert _others(tmp_path, "true") == 0
    assert _others(tmp_path, "false") == _others(tmp_path, "sh", "-c", "exit 2") == 1
    assert count.read_text() == "0\n"
    assert [_others(tmp_path, *hangs), _others(tmp_path, *hangs)] == [1, 1]
    assert count.read_text() == "2\n"
    assert _others(tmp_path, "true") == 0
    assert count.read_text() == "0\n"
