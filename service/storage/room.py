"""Room on the data folder's volume, and a reserve that lets a full one be emptied."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import sqlite3
import threading
from pathlib import Path

from sqlalchemy.exc import DBAPIError

_NAME = ".reserve"
_MAX_RESERVE = 16 << 20
#: A small volume gives up a smaller part.
_PART_OF_VOLUME = 16
_BLOCK = 1 << 16
#: What the operating system says of a full volume.
DISK_FULL = frozenset({errno.ENOSPC, errno.EDQUOT})
#: What SQLite says of a file that it cannot make longer: its primary result codes.
_SQLITE_FULL = {sqlite3.SQLITE_FULL}
_SQLITE_PERHAPS_FULL = {sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN}


class Room:
    """The volume of a data folder.

    Deleting a kit has to write before it can free anything: the database's journal first. On a full
    volume the reserve is given up for that, and taken again once there is room. Until then nothing
    else is kept.

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
        """How many bytes this process may still write there."""
        return shutil.disk_usage(self._folder).free

    @property
    def is_taken(self) -> bool:
        """Whether the reserve is there."""
        try:
            return self._reserve.stat().st_size >= self._size
        except OSError:
            return False

    def take(self, beside: int = 0) -> bool:
        """Take the reserve unless it is there; returns whether it is.

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
                # A full volume, a read-only one: what needs room will say so.
                return False
            return True

    def _write(self) -> None:
        """Allocate the reserve, whole or not at all, without writing it where that can be."""
        draft = self._reserve.with_name(f"{_NAME}.{os.getpid()}")
        try:
            with draft.open("wb") as file:
                os.posix_fallocate(file.fileno(), 0, self._size)
            draft.replace(self._reserve)
        except BaseException:
            with contextlib.suppress(OSError):
                draft.unlink(missing_ok=True)
            raise

    def give_up(self) -> bool:
        """Give up the reserve; returns whether that made room."""
        with self._lock:
            try:
                self._reserve.unlink()
            except OSError:
                return False
            return True

    def check(self, size: int) -> None:
        """Refuse to keep what would use the room that deleting needs.

        Args:
            size: bytes that are about to be written.

        Raises:
            OSError: ENOSPC when the volume is full.
        """
        if not self.take(beside=size):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(self._folder))

    def is_cause(self, error: BaseException) -> bool:
        """Return whether an error comes of a full volume."""
        if isinstance(error, OSError):
            return error.errno in DISK_FULL
        if not isinstance(error, DBAPIError):
            return False
        code = getattr(error.orig, "sqlite_errorcode", 0) & 0xFF
        low = code in _SQLITE_PERHAPS_FULL and self.free_bytes < _BLOCK
        return code in _SQLITE_FULL or low
