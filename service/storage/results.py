"""Results of jobs that create no kit: one file each, kept as long as the job, within a quota."""

from __future__ import annotations

import contextlib
import errno
import os
import threading
from collections.abc import Iterator
from pathlib import Path

from service.storage.archives import write_whole

#: Pause between checks of the folder's size; other processes save results too.
_LOOK_EVERY = 64


class Results:
    """The folder of results.

    Beyond the quota the oldest are deleted first; the same request gives the same result again.

    Args:
        folder: where they are.
        quota: how many bytes all of them may take.
    """

    def __init__(self, folder: Path, quota: int) -> None:
        self.folder = folder
        self._quota = quota
        self._lock = threading.Lock()
        self._bytes = 0
        self._saved = 0

    def _path(self, job_id: str) -> Path:
        return self.folder / job_id[:2] / f"{job_id}.json"

    def save(self, job_id: str, data: bytes) -> None:
        """Save a result, whole or not at all.

        Raises:
            OSError: when the disk is full, or the result is larger than the quota.
        """
        if len(data) > self._quota:
            raise OSError(errno.EDQUOT, os.strerror(errno.EDQUOT), str(self.folder))
        write_whole(self._path(job_id), data)
        with self._lock:
            self._saved += 1
            self._bytes += len(data)
            if self._bytes > self._quota or self._saved % _LOOK_EVERY == 1:
                self.keep_quota(newest=self._path(job_id))

    def keep_quota(self, newest: Path | None = None) -> int:
        """Delete the oldest results beyond the quota; return how many.

        Args:
            newest: one that is not deleted.
        """
        found = sorted(self._found())
        self._bytes = sum(size for _, size, _ in found)
        count = 0
        for _, size, path in found:
            if self._bytes <= self._quota:
                break
            if path != newest:
                path.unlink(missing_ok=True)
                self._bytes -= size
                count += 1
        return count

    def _found(self) -> Iterator[tuple[int, int, Path]]:
        """Yield every result's time, size and path."""
        for path in self.folder.glob("*/*.json"):
            # Another process may have deleted it.
            with contextlib.suppress(FileNotFoundError):
                status = path.stat()
                yield status.st_mtime_ns, status.st_size, path

    def get(self, job_id: str) -> bytes | None:
        """Return a result, or ``None``."""
        try:
            return self._path(job_id).read_bytes()
        except FileNotFoundError:
            return None

    def delete(self, job_id: str) -> None:
        """Delete a result, if there is one."""
        self._path(job_id).unlink(missing_ok=True)
