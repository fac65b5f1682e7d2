"""Files that the database does not list: set aside, counted, never deleted by the service."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

#: Counting stops here, because readiness is checked often.
MAX_COUNT = 10_000


class LostAndFound:
    """The folder of files that no row of the database lists.

    Args:
        folder: its path; created with the first file.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def add(self, path: Path) -> Path:
        """Move a file here under its own name, or a numbered one; return its new path.

        Raises:
            OSError: when it cannot be moved; it then stays where it was.
        """
        self.folder.mkdir(exist_ok=True)
        target, number = self.folder / path.name, 1
        # Only the process that holds the sweep's lock moves files here.
        while target.exists():
            number += 1
            target = self.folder / f"{path.stem}-{number}{path.suffix}"
        path.rename(target)
        return target

    def __iter__(self) -> Iterator[Path]:
        """Yield every file, in no order."""
        with contextlib.suppress(FileNotFoundError), os.scandir(self.folder) as entries:
            for entry in entries:
                if entry.is_file(follow_symlinks=False):
                    yield Path(entry.path)

    def count(self) -> int:
        """Return how many files there are, up to ``MAX_COUNT``."""
        many = 0
        for _ in self:
            many += 1
            if many == MAX_COUNT:
                break
        return many
