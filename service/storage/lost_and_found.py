"""Files that the database does not know: set aside, counted, never removed by the service."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

#: More are not counted: readiness is asked often.
MAX_COUNT = 10_000


class LostAndFound:
    """The folder of files that no row of the database lists.

    Args:
        folder: where it is; made when the first file comes.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def add(self, path: Path) -> Path:
        """Move a file here under its own name, or a numbered one; returns where it is now.

        Raises:
            OSError: when it cannot be moved; it stays where it was then.
        """
        self.folder.mkdir(exist_ok=True)
        target, number = self.folder / path.name, 1
        # One process at a time moves files here: the one that holds the lock of sweeps.
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
