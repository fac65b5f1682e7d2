"""Processes of the service for a measurement, on a data folder of their own."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import requests

ROOT = Path(__file__).resolve().parents[2]
WAIT_S = 600


@contextmanager
def started(folder: Path, *arguments: str, **settings: str) -> Iterator[int]:
    """Run a command of the service until left; yields its process id.

    Args:
        folder: the data folder.
        arguments: of ``python -m service``.
        settings: without ``QUARTERSEAM_``; what the environment says is left out.
    """
    ours = {k: v for k, v in os.environ.items() if not k.startswith("QUARTERSEAM_")}
    environment = {
        **ours, "PYTHONPATH": str(ROOT), "QUARTERSEAM_DATA": str(folder),
        "QUARTERSEAM_LOG_LEVEL": "WARNING",
        **{f"QUARTERSEAM_{name}": value for name, value in settings.items()},
    }  # fmt: skip
    with subprocess.Popen(
        [sys.executable, "-m", "service", *arguments], cwd=folder, env=environment
    ) as process:
        try:
            yield process.pid
        finally:
            process.send_signal(signal.SIGTERM)


@contextmanager
def serving(folder: Path, *arguments: str, **settings: str) -> Iterator[tuple[str, int]]:
    """Serve until left; yields the address and the process id once it answers."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = str(probe.getsockname()[1])
    with started(folder, "serve", "--port", port, *arguments, **settings) as pid:
        url = f"http://127.0.0.1:{port}"
        _until_healthy(url)
        yield url, pid


def _until_healthy(url: str) -> None:
    end = time.monotonic() + WAIT_S
    while time.monotonic() < end:
        try:
            requests.get(f"{url}/healthz", timeout=WAIT_S)
        except requests.ConnectionError:
            time.sleep(0.05)
        else:
            return
    raise TimeoutError(url)
