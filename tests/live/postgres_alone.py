"""A PostgreSQL server on a free loopback port, with a folder of its own."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import signal
import socket
import subprocess
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any


def find_free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def find_programs() -> Path | None:
    """Return the folder of PostgreSQL's newest programs, or ``None``."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return found[-1].parent if found else None


@dataclass
class Postgres:
    """A PostgreSQL server of the tests' own."""

    folder: Path
    port: int
    programs: Path

    @property
    def url(self) -> str:
        return f"postgresql://postgres@127.0.0.1:{self.port}/postgres"

    def run(self, *command: str) -> None:
        # PostgreSQL refuses to run as root.
        as_user: dict[str, Any] = (
            {"user": "postgres", "group": "postgres"} if not os.getuid() else {}
        )
        subprocess.run(
            [str(self.programs / command[0]), *command[1:]], check=True, capture_output=True,
            cwd=self.folder, env={"PATH": os.environ["PATH"], "LC_ALL": "C"}, timeout=600,
            **as_user,
        )  # fmt: skip

    def start(self) -> None:
        options = f"-p {self.port} -c listen_addresses=127.0.0.1 -k {self.folder}"
        self.run(
            "pg_ctl", "-D", str(self.folder / "db"), "-o", options, "-w", "-l",
            str(self.folder / "log"), "start",
        )  # fmt: skip

    def stop(self) -> None:
        self.run("pg_ctl", "-D", str(self.folder / "db"), "-m", "immediate", "-w", "stop")

    def kill(self) -> None:
        """Kill its first process and all others of it, without warning, as a power cut would."""
        lock = self.folder / "db" / "postmaster.pid"
        first = int(lock.read_text().split()[0])
        children = Path(f"/proc/{first}/task/{first}/children").read_text().split()
        pids = [first, *map(int, children)]
        for pid in pids:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        until = time.monotonic() + 600
        while any(map(_runs, pids)):
            assert time.monotonic() < until
            time.sleep(0.02)
        # Its number may be another process's, or that of one that nobody waits for.
        lock.unlink(missing_ok=True)
        (self.folder / f".s.PGSQL.{self.port}.lock").unlink(missing_ok=True)


def _runs(pid: int) -> bool:
    """Return whether a process has not ended; one that nobody has waited for has."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@contextlib.contextmanager
def postgres_server() -> Iterator[Postgres]:
    """Run a server until the block ends."""
    programs = find_programs()
    if programs is None:
        raise FileNotFoundError("PostgreSQL's server is not installed")
    # Not below pytest's own folder, which only its owner may enter.
    folder = Path(subprocess.check_output(["mktemp", "-d"], text=True).strip())
    if not os.getuid():
        os.chown(folder, pwd.getpwnam("postgres").pw_uid, -1)
    server = Postgres(folder, find_free_port(), programs)
    try:
        server.run(
            "initdb", "-D", str(folder / "db"), "-A", "trust", "-U", "postgres", "-N", "-E", "UTF8"
        )
        server.start()
        yield server
    finally:
        with contextlib.suppress(subprocess.CalledProcessError):
            server.stop()
        shutil.rmtree(folder, ignore_errors=True)
