"""The folder in which the processes of one server share metrics and request rates.

Its files are mapped into memory. Writing to a mapped file on a full volume kills the process
(SIGBUS). So the folder is on a memory file system if there is one, every file is allocated before
it is mapped, and without room each process counts alone.
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

#: The variable that prometheus_client reads when it is imported.
FOLDER = "PROMETHEUS_MULTIPROC_DIR"
_LOG = logging.getLogger(__name__)
_MEMORY = Path("/dev/shm")  # noqa: S108 - a folder of its own is made in it
_PREFIX = "quarterseam-figures-"
_LOCK = "lock"
#: Bytes for each kind of metric of a process: enough for every route and status.
_SIZES = {"counter": 1 << 17, "histogram": 1 << 19, "gauge_livesum": 1 << 16}
#: Room for a few restarted processes.
_SPARE_PROCESSES = 8
_USED = struct.Struct("i")
_PAGE = 4096


@contextlib.contextmanager
def shared_folder(workers: int) -> Iterator[str | None]:
    """Create the folder and remove it when the server ends; yield ``None`` if there is no room.

    Forked processes run the clean-up too when they end, and must leave the folder alone.
    """
    place = _place(workers)
    if place is None:
        _LOG.warning("no room to share metrics: each process counts alone")
        yield None
        return
    _remove_abandoned(place)
    folder, owner = Path(tempfile.mkdtemp(prefix=_PREFIX, dir=place)), os.getpid()
    # Locked while the server or any process forked from it runs.
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
    """Remove folders of killed servers, whose locks are free."""
    for folder in place.glob(f"{_PREFIX}*"):
        with contextlib.suppress(OSError):
            lock = os.open(folder / _LOCK, os.O_RDWR)
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
                shutil.rmtree(folder, ignore_errors=True)
            finally:
                os.close(lock)


def allocate() -> None:
    """Allocate this process's files before they are mapped; without room it counts alone."""
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

        _LOG.warning("no room to share metrics: counting alone", extra={"cause": str(error)})
        values.ValueClass = values.MutexValue
        del os.environ[FOLDER]


def shrink(pid: int) -> None:
    """Shrink the files of an ended process to what they use; its counters stay."""
    folder = os.environ.get(FOLDER, "")
    for kind in ("counter", "histogram"):
        path = Path(folder) / f"{kind}_{pid}.db"
        with contextlib.suppress(OSError, struct.error):
            with path.open("rb") as file:
                (used,) = _USED.unpack(file.read(_USED.size))
            os.truncate(path, -(-max(used, 1) // _PAGE) * _PAGE)
