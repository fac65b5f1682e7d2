"""What jobs answer that is no kit: a file each, kept as long as the job is remembered."""

from __future__ import annotations

from pathlib import Path

from service.storage.archives import write_whole


class Results:
    """The folder of results.

    Args:
        folder: where they are.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def _path(self, job_id: str) -> Path:
        return self._folder / job_id[:2] / f"{job_id}.json"

    def save(self, job_id: str, data: bytes) -> None:
        """Keep a result, whole or not at all.

        Raises:
            OSError: when the disk is full or the folder cannot be written.
        """
        write_whole(self._path(job_id), data)

    def get(self, job_id: str) -> bytes | None:
        """Return a result, or ``None``."""
        try:
            return self._path(job_id).read_bytes()
        except FileNotFoundError:
            return None

    def delete(self, job_id: str) -> None:
        """Delete a result, if there is one."""
        self._path(job_id).unlink(missing_ok=True)
