"""Files in lists, and the error of a place for files that does not answer."""

from __future__ import annotations

import errno
from dataclasses import dataclass
from pathlib import PurePosixPath


class FilesUnreachableError(OSError):
    """The object store does not answer, or refuses what is asked of it."""

    def __init__(self, what: str) -> None:
        super().__init__(errno.EIO, what)


@dataclass(frozen=True)
class FoundFile:
    """A file in a list.

    Args:
        name: its name, with its folders.
        size: its size, bytes.
        modified_s: when it was written, s since 1970 by the clock of ``Files.now_s``.
    """

    name: str
    size: int
    modified_s: float

    @property
    def last(self) -> str:
        """Return the name without folders."""
        return PurePosixPath(self.name).name

    @property
    def stem(self) -> str:
        """Return the name without folders and ending."""
        return PurePosixPath(self.name).stem

    @property
    def suffix(self) -> str:
        """Return the name's ending, with its dot."""
        return PurePosixPath(self.name).suffix
