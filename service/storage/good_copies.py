"""Good copies of kits' files: in the lost and found, or in a backup."""

from __future__ import annotations

import contextlib
import tarfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from service.storage.backup import BackupError, kit_member
from service.storage.files import Files
from service.storage.lost_and_found import LostAndFound
from service.storage.notes import sha256_without_note


def _keep() -> None:
    """Leave a copy where it is."""


@dataclass(frozen=True)
class Copy:
    """A good copy of a kit's file.

    Args:
        data: as it is stored.
        place: where it was found, for people.
        remove: called once it is in use.
    """

    data: bytes
    place: str
    remove: Callable[[], object] = _keep


class GoodCopies:
    """Where copies of kits' files are looked for.

    Args:
        files: the store's own; its lost and found is looked through.
        backup: a backup, if there is one.
    """

    def __init__(self, files: Files, backup: tarfile.TarFile | None = None) -> None:
        self._files = files
        self._backup = backup

    def find(self, kit_id: str, sha256: str) -> Copy | None:
        """Return a copy of a kit's file that has the hash of what was sent, or ``None``."""
        for copy in self._all(kit_id):
            if sha256_without_note(copy.data) == sha256:
                return copy
        return None

    def _all(self, kit_id: str) -> Iterator[Copy]:
        for found in LostAndFound(self._files):
            if found.stem.startswith(kit_id) and found.suffix == ".zip":
                with contextlib.suppress(FileNotFoundError):
                    remove = partial(self._files.delete, found.name)
                    yield Copy(self._files.read(found.name), self._files.place(found.name), remove)
        if self._backup is not None:
            with contextlib.suppress(KeyError):
                file = self._backup.extractfile(kit_member(kit_id))
                if file is not None:
                    yield Copy(file.read(), "the backup")


@contextlib.contextmanager
def good_copies(files: Files, backup: Path | None) -> Iterator[GoodCopies]:
    """Open a backup, if there is one, until the block ends.

    Raises:
        BackupError: when it is not a backup.
    """
    if backup is None:
        yield GoodCopies(files)
        return
    try:
        archive = tarfile.open(backup, "r:")  # noqa: SIM115 - closed below
        archive.getmembers()
    except tarfile.TarError as error:
        raise BackupError(f"{backup} is not a whole backup: {error}.") from None
    with archive:
        yield GoodCopies(files, archive)
