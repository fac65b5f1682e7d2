"""Files in a folder of this machine, or of one that all machines mount."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from service.storage.archives import write_whole
from service.storage.found_files import FoundFile

_PROBE = bytes(65536)


class FolderFiles:
    """Files in a folder; see ``Files``.

    Args:
        folder: the data folder.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, name: str) -> Path:
        """Return a file's path; ``name`` comes from a list or was made by us."""
        return self.folder / name

    def read(self, name: str) -> bytes:
        """Return a file."""
        return self.path(name).read_bytes()

    def open(self, name: str) -> BinaryIO:
        """Open a file for reading."""
        return self.path(name).open("rb")

    def write(self, name: str, data: bytes) -> None:
        """Write a file whole or not at all, even through a power cut."""
        write_whole(self.path(name), data)

    def delete(self, name: str) -> bool:
        """Delete a file; return whether it was there."""
        try:
            self.path(name).unlink()
        except FileNotFoundError:
            return False
        return True

    def move(self, name: str, target: str) -> None:
        """Give a file another name."""
        path = self.path(target)
        path.parent.mkdir(parents=True, exist_ok=True)
        self.path(name).rename(path)

    def exists(self, name: str) -> bool:
        """Return whether there is such a file."""
        return self.path(name).exists()

    def modified_s(self, name: str) -> float:
        """Return when a file was written."""
        return self.path(name).stat().st_mtime

    def list(self, folder: str) -> Iterator[FoundFile]:
        """Yield the files of a folder and of its subfolders, one folder at a time."""
        # Other processes may write, rename and delete files at the same time.
        with contextlib.suppress(FileNotFoundError, NotADirectoryError):
            with os.scandir(self.path(folder)) as entries:
                found = sorted(entries, key=lambda each: each.name)
            for entry in found:
                name = f"{folder}/{entry.name}"
                if entry.is_dir(follow_symlinks=False):
                    yield from self.list(name)
                    continue
                with contextlib.suppress(FileNotFoundError):
                    status = entry.stat(follow_symlinks=False)
                    yield FoundFile(name, status.st_size, status.st_mtime)

    def now_s(self) -> float:
        """Return the time of the folder's file system, which other machines may share."""
        with tempfile.NamedTemporaryFile(dir=self.folder, prefix=".now-") as probe:
            return os.fstat(probe.fileno()).st_mtime

    def check(self) -> None:
        """Check that a file of a small kit's size can be written.

        A volume may refuse writes that its free space seems to allow.
        """
        with tempfile.NamedTemporaryFile(dir=self.folder, prefix=".ready-") as probe:
            probe.write(_PROBE)
            probe.flush()

    def place(self, name: str) -> str:
        """Return a file's path."""
        return str(self.path(name))
