"""Check that a container's server answers, or that its worker works; end the container if not.

Docker marks a container unhealthy and leaves it running. With --end-after it ends after so many
failures in a row, and Docker's restart policy starts it again; not before it has answered once, as
a new version may take its time to update the database. A worker, which has no port, touches
a file (--heartbeat-file, stated for both commands). It ends only processes of a container: where
process 1 is this process's own user's, and not root's.
"""

from __future__ import annotations

import argparse
import contextlib
import http.client
import os
import signal
import sys
import tempfile
import time
from pathlib import Path

_COUNT = "quarterseam-unhealthy"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Define the command's arguments."""
    parser.add_argument("--port", type=int, default=8080, help="port of the server")
    parser.add_argument("--timeout", type=float, default=2.0, help="seconds for an answer")
    parser.add_argument(
        "--end-after",
        type=int,
        default=0,
        help="end this container after so many failures in a row; 0: never",
    )
    parser.add_argument("--heartbeat-file", type=Path, help="of a worker, instead of a port")
    parser.add_argument(
        "--max-silence",
        type=float,
        default=180.0,
        help="seconds that this file may be old; a worker may wait as long for its database",
    )


def run(stated: argparse.Namespace) -> int:
    """Check; return the exit code: 1 when the server does not answer, as Docker expects."""
    count = Path(tempfile.gettempdir()) / _COUNT
    if is_well(stated):
        _write(count, 0)
        return 0
    before = _failures(count)
    if before is None:
        print("no answer yet", file=sys.stderr)
        return 1
    failures = before + 1
    _write(count, failures)
    print(f"no answer, {failures} times in a row", file=sys.stderr)
    if stated.end_after and failures >= stated.end_after and in_container():
        count.unlink(missing_ok=True)
        # Stopped and hung processes, too. Process 1 is exempt, and ends with its child.
        os.kill(-1, signal.SIGKILL)
    return 1


def is_well(stated: argparse.Namespace) -> bool:
    """Return whether the server answers, or the worker has touched its file lately."""
    if stated.heartbeat_file is None:
        return answers(stated.port, stated.timeout)
    try:
        touched_s = float(stated.heartbeat_file.stat().st_mtime)
    except OSError:
        return False
    return abs(time.time() - touched_s) <= float(stated.max_silence)


def answers(port: int, timeout: float) -> bool:
    """Return whether a server on this machine answers."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=timeout)
    try:
        connection.request("GET", "/healthz")
        return connection.getresponse().status == http.HTTPStatus.OK
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()


def in_container() -> bool:
    """Return whether process 1 is of this process's own user, which is not root."""
    try:
        owner = Path("/proc/1").stat().st_uid
    except OSError:
        return False
    return owner == os.getuid() != 0


def _failures(count: Path) -> int | None:
    """Return how often it did not answer since it last did; ``None`` when it never has."""
    try:
        return int(count.read_text(encoding="ascii"))
    except (OSError, ValueError):
        return None


def _write(count: Path, failures: int) -> None:
    with contextlib.suppress(OSError):
        count.write_text(str(failures), encoding="ascii")
