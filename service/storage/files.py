"""Where kits' files and jobs' results are: in the data folder, or in an object store.

Names are paths with slashes, such as ``kits/ab/ID.zip``. A file is written whole or not at all.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from typing import BinaryIO, Protocol

from service.settings import Settings
from service.storage.folder_files import FolderFiles
from service.storage.found_files import FoundFile


class Files(Protocol):
    """A place for files.

    Every method may raise ``OSError``: ``FileNotFoundError`` for a file that is not there,
    ``FilesUnreachableError`` where an object store does not answer.
    """

    def read(self, name: str) -> bytes:
        """Return a file."""

    def open(self, name: str) -> BinaryIO:
        """Open a file for reading in parts, at any place; the caller closes it."""

    def write(self, name: str, data: bytes) -> None:
        """Write a file, or replace it, so that a crash leaves the old one or the new one."""

    def delete(self, name: str) -> bool:
        """Delete a file; return whether it may have been there."""

    def move(self, name: str, target: str) -> None:
        """Give a file another name."""

    def exists(self, name: str) -> bool:
        """Return whether there is such a file."""

    def modified_s(self, name: str) -> float:
        """Return when a file was written."""

    def list(self, folder: str) -> Iterator[FoundFile]:
        """Yield the files of a folder and of its subfolders, a few hundred at a time."""

    def now_s(self) -> float:
        """Return the time by the clock that dates files, s since 1970."""

    def check(self) -> None:
        """Check that files can be used."""

    def place(self, name: str) -> str:
        """Return where a file is, for people."""


def files_of(settings: Settings) -> Files:
    """Return the place of files that the settings state.

    Raises:
        OSError: when the library for object stores is not installed.
    """
    if not settings.files:
        return FolderFiles(settings.data)
    if importlib.util.find_spec("obstore") is None:
        raise OSError(
            "QUARTERSEAM_FILES needs the package obstore, which is not installed: install "
            "quarterseam[object-store]."
        )
    from service.storage.bucket_files import BucketFiles  # noqa: PLC0415 - an optional extra

    return BucketFiles(settings.files)
