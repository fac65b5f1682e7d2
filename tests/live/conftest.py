"""A real server on a free loopback port, with a data folder of its own."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest
import requests

ROOT = Path(__file__).resolve().parents[2]
_PATIENCE_S = 40.0


def find_free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@dataclass
class Server:
    """A served data folder; started and stopped by the tests."""

    data: Path
    log: Path
    environment: Mapping[str, str] = field(default_factory=dict)
    port: int = field(default_factory=find_free_port)
    process: subprocess.Popen[bytes] | None = None

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
        command = [sys.executable, "-m", "service", "serve", "--port", str(self.port)]
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                command, cwd=self.data.parent, env=environment, stdout=log, stderr=log,
                start_new_session=True,
            )  # fmt: skip
        self.wait_until_ready()

    def wait_until_ready(self) -> None:
        until = time.monotonic() + _PATIENCE_S
        while time.monotonic() < until:
            assert self.process is not None
            assert self.process.poll() is None, self.log.read_text()
            with contextlib.suppress(requests.RequestException):
                if requests.get(f"{self.url}/readyz", timeout=5).status_code == 200:
                    return
            time.sleep(0.1)
        raise AssertionError(self.log.read_text())

    def stop(self) -> int:
        """Ask it to stop, as an init system would; returns its exit code."""
        assert self.process is not None
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(timeout=_PATIENCE_S)

    def kill(self) -> None:
        """Kill the server and its workers without warning."""
        assert self.process is not None
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(timeout=_PATIENCE_S)


@pytest.fixture
def free_port() -> int:
    return find_free_port()


MakeServer = Callable[..., Server]


@pytest.fixture
def make_server(tmp_path: Path) -> Iterator[MakeServer]:
    made: list[Server] = []

    def make(**environment: str) -> Server:
        data = tmp_path / f"data-{len(made)}"
        server = Server(data, tmp_path / f"server-{len(made)}.log", environment)
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


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Skip long runs, aloud, unless they are asked for by their mark."""
    if "long" in str(config.getoption("-m")):
        return
    for item in items:
        if item.get_closest_marker("long") and str(ROOT / "tests" / "live") in str(item.path):
            item.add_marker(pytest.mark.skip(reason="a long run; ask for it with -m long"))
