"""Files that the database does not list: set aside, counted, never deleted by the service."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from pathlib import PurePosixPath

from service.storage.files import Files
from service.storage.found_files import FoundFile

LOST_AND_FOUND = "lost-and-found"
#: Counting stops here, because readiness is checked often.
MAX_COUNT = 10_000


class LostAndFound:
    """The folder of files that no row of the database lists.

    Args:
        files: where it is; it is created with the first file.
    """

    def __init__(self, files: Files) -> None:
        self._files = files

    def add(self, name: str) -> str:
        """Move a file here under its own name, or a numbered one; return its new name.

        Raises:
            OSError: when it cannot be moved; it then stays where it was.
        """
        path, number = PurePosixPath(name), 1
        target = f"{LOST_AND_FOUND}/{path.name}"
        # Only the process that holds the sweep's lock moves files here.
        while self._files.exists(target):
            number += 1
            target = f"{LOST_AND_FOUND}/{path.stem}-{number}{path.suffix}"
        self._files.move(name, target)
        return target

    def __iter__(self) -> Iterator[FoundFile]:
        """Yield every file."""
        return self._files.list(LOST_AND_FOUND)

    def holds(self, name: str) -> bool:
        """Return whether a file's name is one of these."""
        return name.startswith(f"{LOST_AND_FOUND}/")

    def count(self) -> int:
        """Return how many files there are, up to ``MAX_COUNT``."""
        return sum(1 for _ in islice(self, MAX_COUNT))
