"""A real server on a free loopback port, with a data folder of its own."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

import pytest
import requests

from tests.live.postgres_alone import Postgres, find_free_port, find_programs, postgres_server
from tests.live.swift_alone import Swift, is_installed, object_server

ROOT = Path(__file__).resolve().parents[2]
#: A busy machine may take long to start a server; nothing is measured by it.
_WAIT_S = 600.0


@dataclass
class Server:
    """A served data folder; started and stopped by the tests."""

    data: Path
    log: Path
    environment: Mapping[str, str] = field(default_factory=dict)
    port: int = field(default_factory=find_free_port)
    process: subprocess.Popen[bytes] | None = None
    #: Behind ``python``: what is served; ``{port}`` stands for the port.
    command: Sequence[str] = ("-m", "service", "serve", "--port", "{port}")
    before: Sequence[str] = ()

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        environment = {
            name: value for name, value in os.environ.items() if not name.startswith("QUARTERSEAM_")
        } | {
            "PYTHONPATH": os.pathsep.join(filter(None, (str(ROOT), os.environ.get("PYTHONPATH")))),
            "QUARTERSEAM_DATA": str(self.data),
            **self.environment,
        }
        found = [each.replace("{port}", str(self.port)) for each in self.command]
        command = [*self.before, sys.executable, *found]
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                command, cwd=self.data.parent, env=environment, stdout=log, stderr=log,
                start_new_session=True,
            )  # fmt: skip
        if "{port}" in self.command:
            self.wait_until_ready()

    def wait_until_ready(self) -> None:
        until = time.monotonic() + _WAIT_S
        while time.monotonic() < until:
            assert self.process is not None
            assert self.process.poll() is None, self.log.read_text()
            with contextlib.suppress(requests.RequestException):
                if requests.get(f"{self.url}/readyz", timeout=60).status_code == 200:
                    return
            time.sleep(0.1)
        raise AssertionError(self.log.read_text())

    def stop(self) -> int:
        """Ask it to stop, as an init system would; returns its exit code."""
        assert self.process is not None
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(timeout=_WAIT_S)

    def kill(self) -> None:
        """Kill the server and its workers without warning."""
        assert self.process is not None
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(timeout=_WAIT_S)


@dataclass
class Redis:
    """A Redis server of the tests' own; it keeps nothing on disk."""

    port: int
    process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        return f"redis://127.0.0.1:{self.port}/0"

    def start(self) -> None:
        self.process = subprocess.Popen(
            [
                "redis-server", "--port", str(self.port), "--bind", "127.0.0.1", "--save", "",
                "--appendonly", "no",
            ],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd="/",
        )  # fmt: skip
        until = time.monotonic() + _WAIT_S
        while time.monotonic() < until:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port)):
                return
            time.sleep(0.05)
        raise AssertionError

    def stop(self) -> None:
        if self.process is not None and self.process.poll() is None:
            self.process.kill()
            self.process.wait(timeout=_WAIT_S)


@pytest.fixture
def redis_server() -> Iterator[Redis]:
    pytest.importorskip("redis", reason="redis is not installed")
    if shutil.which("redis-server") is None:
        pytest.skip("Redis' server is not installed")
    server = Redis(find_free_port())
    server.start()
    yield server
    server.stop()


@pytest.fixture
def postgres() -> Iterator[Postgres]:
    pytest.importorskip("psycopg", reason="psycopg is not installed")
    if find_programs() is None:
        pytest.skip("PostgreSQL's server is not installed")
    with postgres_server() as server:
        yield server


@pytest.fixture(scope="module")
def swift() -> Iterator[Swift]:
    if not is_installed():
        pytest.skip("OpenStack Swift is not installed")
    with object_server() as server:
        yield server


@pytest.fixture
def bucket(swift: Swift, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> str:
    """Return the address of a new bucket; the variables for it are set."""
    for name, value in swift.environment.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setenv("AWS_ALLOW_HTTP", "true")
    name = "".join(each if each.isalnum() else "-" for each in tmp_path.name.lower()).strip("-")
    obstore = pytest.importorskip("obstore", reason="obstore is not installed")
    from obstore.store import S3Store

    # The library makes no buckets: the request is signed by it, and sent by hand.
    url = obstore.sign(S3Store(name), "PUT", "", timedelta(minutes=30))
    answer = requests.put(url, timeout=_WAIT_S)
    assert answer.status_code == 200, answer.text
    return f"s3://{name}/studio"


@pytest.fixture
def free_port() -> int:
    return find_free_port()


MakeServer = Callable[..., Server]


@pytest.fixture
def make_server(tmp_path: Path) -> Iterator[MakeServer]:
    made: list[Server] = []

    def make(
        *,
        data: Path | None = None,
        command: Sequence[str] | None = None,
        before: Sequence[str] = (),
        **environment: str,
    ) -> Server:
        data = data or tmp_path / f"data-{len(made)}"
        server = Server(data, tmp_path / f"server-{len(made)}.log", environment, before=before)
        if command is not None:
            server.command = command
        made.append(server)
        server.start()
        return server

    yield make
    for server in made:
        if server.process is not None and server.process.poll() is None:
            server.kill()


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    folder = tmp_path_factory.mktemp("live")
    made = Server(folder / "data", folder / "server.log")
    made.start()
    yield made
    code = made.stop()
    assert code == 0, made.log.read_text()
