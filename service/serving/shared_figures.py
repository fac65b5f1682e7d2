"""The folder in which the processes of one server share figures and rates while they run.

Its files are mapped into memory. A mapped file that is longer than its volume has room for kills
the process that writes to it (SIGBUS), so the folder is on a memory file system where there is one,
every file is allocated before it is mapped, and where there is no room each process counts alone.
"""

from __future__ import annotations

import contextlib
import fcntl
import logging
import os
import shutil
import struct
import tempfile
from collections.abc import Iterator
from pathlib import Path

#: Where prometheus_client looks for it, when it is imported.
FOLDER = "PROMETHEUS_MULTIPROC_DIR"
_LOG = logging.getLogger(__name__)
_MEMORY = Path("/dev/shm")  # noqa: S108 - a folder of its own is made in it
_PREFIX = "quarterseam-figures-"
_LOCK = "lock"
#: Bytes for each kind of figure of a process: enough for every route and status.
_SIZES = {"counter": 1 << 17, "histogram": 1 << 19, "gauge_livesum": 1 << 16}
#: Room for a few processes that die and are replaced.
_SPARE_PROCESSES = 8
_USED = struct.Struct("i")
_PAGE = 4096


@contextlib.contextmanager
def shared_folder(workers: int) -> Iterator[str | None]:
    """Make the folder, and remove it when the server ends; ``None`` where there is no room for it.

    Processes that the server forks come past here too when they end, and must leave it.
    """
    place = _place(workers)
    if place is None:
        _LOG.warning("no room to share figures: each process counts alone")
        yield None
        return
    _remove_abandoned(place)
    folder, owner = Path(tempfile.mkdtemp(prefix=_PREFIX, dir=place)), os.getpid()
    # Held by the server and all that it forks, for as long as any of them runs.
    lock = os.open(folder / _LOCK, os.O_RDWR | os.O_CREAT, 0o600)
    fcntl.flock(lock, fcntl.LOCK_EX)
    try:
        yield str(folder)
    finally:
        if os.getpid() == owner:
            shutil.rmtree(folder, ignore_errors=True)


def _place(workers: int) -> Path | None:
    needed = (workers + _SPARE_PROCESSES) * sum(_SIZES.values())
    for each in (_MEMORY, Path(tempfile.gettempdir())):
        if os.access(each, os.W_OK | os.X_OK) and shutil.disk_usage(each).free >= needed:
            return each
    return None


def _remove_abandoned(place: Path) -> None:
    """Remove folders of servers that were killed: nobody holds their locks."""
    for folder in place.glob(f"{_PREFIX}*"):
        with contextlib.suppress(OSError):
            lock = os.open(folder / _LOCK, os.O_RDWR)
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
                shutil.rmtree(folder, ignore_errors=True)
            finally:
                os.close(lock)


def allocate() -> None:
    """Allocate this process's files before they are mapped, or have it count alone."""
    folder = os.environ.get(FOLDER)
    if folder is None:
        return
    try:
        for kind, size in _SIZES.items():
            path = Path(folder) / f"{kind}_{os.getpid()}.db"
            handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
            try:
                os.posix_fallocate(handle, 0, size)
            finally:
                os.close(handle)
    except OSError as error:
        from prometheus_client import values  # noqa: PLC0415 - seldom needed

        _LOG.warning("no room to share figures: counting alone", extra={"cause": str(error)})
        values.ValueClass = values.MutexValue
        del os.environ[FOLDER]


def shrink(pid: int) -> None:
    """Give back what the files of a process that has ended do not use; its counts stay."""
    folder = os.environ.get(FOLDER, "")
    for kind in ("counter", "histogram"):
        path = Path(folder) / f"{kind}_{pid}.db"
        with contextlib.suppress(OSError, struct.error):
            with path.open("rb") as file:
                (used,) = _USED.unpack(file.read(_USED.size))
            os.truncate(path, -(-max(used, 1) // _PAGE) * _PAGE)
