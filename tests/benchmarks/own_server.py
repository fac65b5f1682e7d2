"""Processes of the service for a measurement, on a data folder of their own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.live.conftest import Server

WAIT_S = 600


@contextmanager
def started(folder: Path, *words: str, **settings: str) -> Iterator[Server]:
    """Run a command of the service until left; with ``{port}`` in it, until it answers first.

    Args:
        folder: for the data and the log.
        words: of the command, behind ``python -m service``.
        settings: without ``QUARTERSEAM_``.
    """
    environment = {f"QUARTERSEAM_{name}": value for name, value in settings.items()}
    command = ("-m", "service", *words)
    server = Server(folder / "data", folder / "log", environment, command=command)
    server.start()
    try:
        yield server
    finally:
        server.stop()


@contextmanager
def serving(folder: Path, *words: str, **settings: str) -> Iterator[tuple[str, int]]:
    """Serve until left; yields the address and the process id once it answers."""
    with started(folder, "serve", "--port", "{port}", *words, **settings) as server:
        assert server.process is not None
        yield server.url, server.process.pid
