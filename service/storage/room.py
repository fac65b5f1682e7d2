"""Free space on the data folder's volume, and a reserve for deleting when it is full."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import sqlite3
import threading
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from service.storage.permissions import make_file_private

_NAME = ".reserve"
_MAX_RESERVE = 16 << 20
#: A small volume gets a smaller reserve.
_PART_OF_VOLUME = 16
_BLOCK = 1 << 16
#: The operating system's error codes for a full volume.
DISK_FULL = frozenset({errno.ENOSPC, errno.EDQUOT})
#: SQLite's primary result codes for a file that cannot grow.
_SQLITE_FULL = {sqlite3.SQLITE_FULL}
_SQLITE_PERHAPS_FULL = {sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN}


class Room:
    """The volume of a data folder.

    Deleting a kit first writes to the database's journal. On a full volume the reserve is released
    for that, and taken again once there is room. Until then nothing else is stored.

    Args:
        folder: the data folder.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._reserve = folder / _NAME
        self._lock = threading.Lock()
        self._size = min(_MAX_RESERVE, shutil.disk_usage(folder).total // _PART_OF_VOLUME)

    @property
    def free_bytes(self) -> int:
        """Return how many bytes this process can still write there."""
        return shutil.disk_usage(self._folder).free

    @property
    def is_taken(self) -> bool:
        """Return whether the reserve exists."""
        try:
            return self._reserve.stat().st_size >= self._size
        except OSError:
            return False

    def take(self, beside: int = 0) -> bool:
        """Take the reserve if it is missing; return whether it exists now.

        Args:
            beside: bytes that must be free beside it.
        """
        if self.is_taken:
            return True
        with self._lock:
            if self.is_taken:
                return True
            if self.free_bytes < self._size + beside:
                return False
            try:
                self._write()
            except OSError:
                # The volume is full or read-only; writes will report that themselves.
                return False
            return True

    def _write(self) -> None:
        """Allocate the reserve, whole or not at all; without writing its bytes where possible."""
        draft = self._reserve.with_name(f"{_NAME}.{os.getpid()}")
        try:
            make_file_private(draft)
            with draft.open("r+b") as file:
                os.posix_fallocate(file.fileno(), 0, self._size)
            draft.replace(self._reserve)
        except BaseException:
            with contextlib.suppress(OSError):
                draft.unlink(missing_ok=True)
            raise

    def give_up(self) -> bool:
        """Release the reserve; return whether that made room."""
        with self._lock:
            try:
                self._reserve.unlink()
            except OSError:
                return False
            return True

    def check(self, size: int) -> None:
        """Raise an error when a write would use the room that deleting needs.

        Args:
            size: bytes that are about to be written.

        Raises:
            OSError: ENOSPC when the volume is full.
        """
        if not self.take(beside=size):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(self._folder))

    def is_cause(self, error: BaseException) -> bool:
        """Return whether an error was caused by a full volume."""
        if isinstance(error, OSError):
            return error.errno in DISK_FULL
        if not isinstance(error, DBAPIError):
            return False
        code = getattr(error.orig, "sqlite_errorcode", 0) & 0xFF
        low = code in _SQLITE_PERHAPS_FULL and self.free_bytes < _BLOCK
        return code in _SQLITE_FULL or low
