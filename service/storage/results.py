"""Results of jobs that create no kit: one file each, kept as long as the job, within a quota."""

from __future__ import annotations

import errno
import os
import threading

from service.storage.files import Files

RESULTS = "results"

#: Pause between checks of the folder's size; other processes save results too.
_LOOK_EVERY = 64


class Results:
    """The folder of results.

    Beyond the quota the oldest are deleted first; the same request gives the same result again.

    Args:
        files: where they are.
        quota: how many bytes all of them may take.
    """

    def __init__(self, files: Files, quota: int) -> None:
        self._files = files
        self._quota = quota
        self._lock = threading.Lock()
        self._bytes = 0
        self._saved = 0

    def _name(self, job_id: str) -> str:
        return f"{RESULTS}/{job_id[:2]}/{job_id}.json"

    def save(self, job_id: str, data: bytes) -> None:
        """Save a result, whole or not at all.

        Raises:
            OSError: when the disk is full, or the result is larger than the quota.
        """
        if len(data) > self._quota:
            raise OSError(errno.EDQUOT, os.strerror(errno.EDQUOT), self._files.place(RESULTS))
        self._files.write(self._name(job_id), data)
        with self._lock:
            self._saved += 1
            self._bytes += len(data)
            if self._bytes > self._quota or self._saved % _LOOK_EVERY == 1:
                self.keep_quota(newest=self._name(job_id))

    def keep_quota(self, newest: str = "") -> int:
        """Delete the oldest results beyond the quota; return how many.

        Args:
            newest: the name of one that is not deleted.
        """
        found = [each for each in self._files.list(RESULTS) if each.suffix == ".json"]
        self._bytes = sum(each.size for each in found)
        count = 0
        for each in sorted(found, key=lambda each: (each.modified_s, each.name)):
            if self._bytes <= self._quota:
                break
            if each.name != newest:
                self._files.delete(each.name)
                self._bytes -= each.size
                count += 1
        return count

    def get(self, job_id: str) -> bytes | None:
        """Return a result, or ``None``."""
        try:
            return self._files.read(self._name(job_id))
        except FileNotFoundError:
            return None

    def delete(self, job_id: str) -> None:
        """Delete a result, if there is one."""
        self._files.delete(self._name(job_id))
