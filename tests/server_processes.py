"""The processes of a running server, by what they do."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

#: The file by which the first process sees that one that answers is alive.
_HEARTBEAT = "wgunicorn-"


def children(pid: int) -> list[int]:
    """Return the processes that one has started and that run."""
    return [
        int(child)
        for task in Path(f"/proc/{pid}/task").iterdir()
        for child in (task / "children").read_text().split()
    ]


def answering(server: int) -> list[int]:
    """Return the processes of a server that answer requests."""
    return [pid for pid in children(server) if any(_HEARTBEAT in file for file in _files(pid))]


def computing(server: int) -> list[int]:
    """Return the processes that compute for those that answer, or wait for their next task."""
    others = set(children(server)) - set(answering(server))
    return [pid for other in others for pid in children(other)]


def _files(pid: int) -> Iterator[str]:
    with contextlib.suppress(FileNotFoundError):
        for file in Path(f"/proc/{pid}/fd").iterdir():
            with contextlib.suppress(FileNotFoundError):
                yield os.readlink(file)  # noqa: PTH115 - a link to no path
