"""Locks held by one process at a time, across machines; a killed process releases its lock."""

from __future__ import annotations

import contextlib
import fcntl
import os
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import Engine, text

#: An arbitrary number that all servers share.
_SWEEP = 7_271_954


@contextlib.contextmanager
def alone(engine: Engine, folder: Path) -> Iterator[bool]:
    """Hold the lock of a store until the block ends; yield whether it was free.

    With PostgreSQL the servers may run on several machines, so the database holds the lock; with
    SQLite there is one machine, and a file holds it.
    """
    if engine.dialect.name == "postgresql":
        with engine.connect() as connection:
            options = connection.execution_options(isolation_level="AUTOCOMMIT")
            lock, unlock = (
                text(f"SELECT {name}(:lock)")
                for name in ("pg_try_advisory_lock", "pg_advisory_unlock")
            )
            held = bool(options.execute(lock, {"lock": _SWEEP}).scalar())
            try:
                yield held
            finally:
                if held:
                    options.execute(unlock, {"lock": _SWEEP})
        return
    handle = os.open(folder / ".sweep.lock", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            yield False
        else:
            yield True
    finally:
        os.close(handle)
